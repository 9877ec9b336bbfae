"""What recorded lessons teach about an airplane's glide: beside its file, over time, and adopted by somebody's word."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from volplane.domain.airplane.airplane import Airplane
from volplane.domain.airplane.learning import DragDrift, LearnedGlide
from volplane.domain.airplane.lesson_glides import WhyNot
from volplane.faces.documents import wording
from volplane.faces.documents.wording import Units
from volplane.faces.web.airplane_page import ROOM, section, sentences, table
from volplane.faces.web.layout import Frame, page
from volplane.faces.web.markup import Markup, el
from volplane.services.adopting import AdoptedThen
from volplane.services.kept import KeptRecording, TeachingFlight
from volplane.services.learning import Learned

LONGEST_REASON = 300
PLUS_MINUS = "\N{PLUS-MINUS SIGN}"
WHY = {
    WhyNot.POWER_NOT_RECORDED: "the power was not recorded",
    WhyNot.CONFIGURATION_NOT_RECORDED: "the configuration was not recorded",
    WhyNot.CONFIGURATION_UNKNOWN: "the airplane's file does not know the configuration",
    WhyNot.NOT_STEADY: "it was not steady",
    WhyNot.OUTSIDE_SPEEDS: "it was flown outside the speeds the glide is known for",
    WhyNot.AS_MEASURED: "it is left out for the reason a measurement would leave it out",
}


@dataclass(frozen=True, slots=True)
class LearnedSheet:
    """What the page is about: the airplane as its file has it, what flights teach, and what was adopted before."""

    key: str
    airplane: Airplane
    learned: Learned
    flights: Sequence[tuple[TeachingFlight, KeptRecording]]
    others: Sequence[KeptRecording]
    adopted: Sequence[AdoptedThen]


@dataclass(frozen=True, slots=True)
class Typed:
    """A sentence about what could not be done, and what was typed for it."""

    trouble: str = ""
    reason: str = ""
    weight: str = ""


def learned_page(frame: Frame, sheet: LearnedSheet, typed: Typed) -> str:
    """The whole page. Its forms need no script."""
    said = "A proposal: no plan and no card changes before somebody adopts it."
    words = el(
        "div", el("h1", f"{sheet.airplane.name}: what lessons teach"), el("p", said, class_="sub"), class_="words"
    )
    back = el("a", "The airplane", href=f"/airplanes/{sheet.key}", class_="button")
    content = [
        el("div", words, el("div", back, class_="actions"), class_="title-row"),
        el("div", el("p", typed.trouble), class_="trouble", role="alert") if typed.trouble else None,
        section("now", "The glide now", _now(sheet, frame.units), _adopt(sheet, typed)),
        section("history", "As it became known", _history(sheet.learned, frame.units), _drift(sheet.learned.drift)),
        section("flights", "The flights", _flights(sheet, frame.units), _teach(sheet, typed)),
        section("adopted", "Adopted", _adoptions(sheet, frame.units), None),
    ]
    return page(frame, title=f"{sheet.airplane.name}, learned", room=ROOM, kind="learned", content=content)


def _now(sheet: LearnedSheet, units: Units) -> list[Markup]:
    glide, file = sheet.learned.glide, sheet.airplane.glide.at_weight(sheet.learned.glide.reference_weight_kg)
    weight = units.weight.text(glide.reference_weight_kg)
    rows = [
        ("The file", units.speed.figure(file.best_eas_mps), wording.figure(file.best_ratio, 1)),
        ("With the flights", *_figures(glide, units)),
    ]
    heads = (f"At {weight}, engine dead, propeller coarse", f"Best speed, {units.speed.unit}", "Ratio")
    behind = (
        f"{wording.sentence_case(wording.counted(glide.stretches_count, 'steady stretch', 'steady stretches'))} of "
        f"{wording.counted(glide.flights_count, 'flight')} stand behind it and took away "
        f"{round(100.0 * glide.taught_fraction)} % of the handbook's doubt about the ratio."
    )
    return [table(heads, rows), *sentences([behind])]


def _figures(glide: LearnedGlide, units: Units) -> tuple[str, str]:
    speed = f"{units.speed.figure(glide.best_eas_mps)} {PLUS_MINUS} {units.speed.figure(glide.best_eas_sd_mps)}"
    return speed, f"{wording.figure(glide.best_ratio, 1)} {PLUS_MINUS} {wording.figure(glide.best_ratio_sd, 1)}"


def _adopt(sheet: LearnedSheet, typed: Typed) -> Markup:
    if sheet.learned.glide.stretches_count == 0:
        said = "There is nothing to adopt: no flight with speed, power and configuration recorded is remembered yet."
        return el("p", said, class_="sub")
    return el(
        "form",
        _field("reason", "Why it counts from now on", typed.reason, LONGEST_REASON),
        el("p", "It is written into the airplane's file as a new state; plans made before keep theirs.", class_="sub"),
        el("div", el("button", "Adopt it", type="submit", class_="first"), class_="row"),
        method="post",
        action=f"/airplanes/{sheet.key}/learned/adopt",
    )


def _field(name: str, label: str, value: str, longest: int) -> Markup:
    return el(
        "div",
        el("label", label, for_=name),
        el("input", id=name, name=name, value=value, maxlength=longest),
        class_="row-field",
    )


def _history(learned: Learned, units: Units) -> Markup:
    if not learned.history:
        return el("p", "No flight has taught anything yet.", class_="sub")
    rows = [
        (wording.utc_date(each.flown_unix_s), str(each.glide.flights_count), *_figures(each.glide, units))
        for each in learned.history
    ]
    return table(("After the flight of", "Flights", f"Best speed, {units.speed.unit}", "Ratio"), rows)


def _drift(drift: DragDrift | None) -> list[Markup]:
    if drift is None:
        said = "Whether the airframe's drag grows is told from three flights on that span a month."
    else:
        yearly, sd = 100.0 * drift.yearly_growth_fraction, 100.0 * drift.yearly_growth_fraction_sd
        seen = "that is seen" if drift.is_seen else "no growth is seen beyond its uncertainty"
        said = f"Drag grows by {wording.signed(yearly, 1)} {PLUS_MINUS} {wording.figure(sd, 1)} % in a year: {seen}."
    return sentences([said])


def _flights(sheet: LearnedSheet, units: Units) -> list[Markup]:
    if not sheet.flights:
        return sentences(["No recording is remembered as one to learn from."])
    rows = [
        (recording.name, wording.utc_date(flight.kept_unix_s), units.weight.figure(flight.weight_kg))
        for flight, recording in sheet.flights
    ]
    reasons = Counter(each.why for each in sheet.learned.barred)
    barred = [
        f"{wording.sentence_case(wording.counted(count, 'stretch', 'stretches'))} taught nothing: {WHY[why]}."
        for why, count in reasons.most_common()
    ]
    return [table(("Recording", "Remembered", f"Weight, {units.weight.unit}"), rows, words=2), *sentences(barred)]


def _teach(sheet: LearnedSheet, typed: Typed) -> Markup:
    if not sheet.others:
        return el("p", "Every kept recording is remembered already, or none is kept.", class_="sub")
    options = [el("option", each.name, value=each.key) for each in sheet.others]
    return el(
        "form",
        el("label", "Recording", for_="recording", class_="label"),
        el("select", options, id="recording", name="recording"),
        _field("weight", "Weight it was flown at, such as 3,350 lb", typed.weight, 40),
        el("div", el("button", "Learn from it", type="submit"), class_="row"),
        method="post",
        action=f"/airplanes/{sheet.key}/learned/flights",
    )


def _adoptions(sheet: LearnedSheet, units: Units) -> list[Markup]:
    if not sheet.adopted:
        return sentences(["Nothing was adopted yet."])
    rows = [
        (
            wording.utc_date(each.adoption.adopted_unix_s),
            each.adoption.reason,
            units.speed.figure(each.adoption.best_eas_mps),
            wording.figure(each.adoption.best_ratio, 1),
        )
        for each in sheet.adopted
    ]
    back = el(
        "form",
        el("div", el("button", "Take the last one back", type="submit"), class_="row"),
        method="post",
        action=f"/airplanes/{sheet.key}/learned/take-back",
    )
    return [table(("On", "Because", f"Best speed, {units.speed.unit}", "Ratio"), rows, words=2), back]
