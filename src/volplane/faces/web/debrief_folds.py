"""The folded part of a debrief's page and the tables beside its board."""

from __future__ import annotations

from collections.abc import Sequence

from volplane.domain.debrief.results import BudgetItem, StandardItem
from volplane.faces.documents import wording
from volplane.faces.documents.debrief import limit_text, value_text
from volplane.faces.documents.debrief_words import finding_text, finding_title, item_reason_text, reason_text
from volplane.faces.web.debrief_desk import (
    Desk,
    again_and_away,
    downloads,
    notes_fold,
    what_if_fold,
    whose_fold,
)
from volplane.faces.web.lessons import Lesson
from volplane.faces.web.markup import Child, Markup, el, join


def causes_table(lesson: Lesson) -> Markup | None:
    """Why a gate was passed higher or lower than planned; the causes add up."""
    causes = lesson.attempt.causes
    if causes is None:
        return None
    head = f"Why so at the {causes.gate}, against the plan"
    return _parts(lesson, head, causes.causes, f"against the plan at the {causes.gate}")


def budget_table(lesson: Lesson) -> Markup | None:
    """Where the height in hand went from the low key on; the causes add up."""
    return _parts(lesson, "From the low key on", lesson.attempt.budget, "change of height in hand")


def _parts(lesson: Lesson, head: str, items: Sequence[BudgetItem], total: str) -> Markup | None:
    if not items:
        return None
    height = lesson.units.height
    rows = [_row(wording.sentence_case(item.cause), wording.signed(height.value(item.height_m))) for item in items]
    whole = wording.signed(height.value(sum(item.height_m for item in items)))
    foot = el("tr", el("th", total, scope="row"), el("td", whole, class_="number"))
    titles = el("tr", el("th", head, scope="col"), el("th", height.unit, scope="col", class_="number"))
    return el("table", el("thead", titles), el("tbody", rows), el("tfoot", foot))


def _row(name: str, *values: Child) -> Markup:
    return el("tr", el("th", name, scope="row"), [el("td", value, class_="number") for value in values])


def more(lesson: Lesson, desk: Desk) -> Markup:
    """Everything that is not the lesson itself, folded away."""
    folds = [
        _fold("What if", what_if_fold(desk, lesson.attempt), "fold-what-if"),
        _fold("Second by second", charts(), "fold-charts"),
        _fold("Notes", notes_fold(desk, lesson.attempt), "fold-notes"),
        _fold("Wind by height", _side_by_side(lesson.figures.wind, lesson.figures.wind_ladder)),
        _fold("Height in hand", _picture(lesson.figures.height_in_hand)),
        _fold("Flown against plan", _picture(lesson.figures.against_plan)),
        _fold("Glide by phase", _picture(lesson.figures.glide_by_phase)),
        _fold("Gates", _gates(lesson)),
        _fold(f"{wording.sentence_case(lesson.attempt.standard_name)} standard", _standard(lesson)),
        _fold("Stand-in and engine", _stand_in(lesson)),
        _fold("Report and files", downloads(desk), "fold-files"),
        _fold("The recording", join(_recording(lesson))),
        _fold("Whose lesson", whose_fold(desk)),
        _fold("Again, or away", again_and_away(desk)),
        el(
            "a",
            "Lay beside others",
            href=f"/debriefs/overlay?attempt={desk.kept.key}.{desk.number + 1}",
            class_="fold-link",
        )
        if desk.has_others
        else None,
    ]
    return el("div", folds, class_="more")


def charts() -> Markup:
    """The place of the one chart that can be looked at closely; the page's script draws it when it is unfolded."""
    buttons = [
        el("button", words, type="button", data_zoom=zoom)
        for zoom, words in (("in", "Closer"), ("out", "Wider"), ("all", "All of it"))
    ]
    choice = el("label", el("span", "Quantity", class_="label"), el("select", id="chart-quantity"), class_="select")
    return el(
        "div",
        el("div", choice, el("div", buttons, class_="row"), class_="choose"),
        el("div", id="chart", class_="zoomable"),
        el("p", "Drag across the chart to look closer; the arrow keys step by seconds.", class_="sub"),
        id="charts",
    )


def _fold(name: str, inside: Markup | None, key: str | None = None) -> Markup | None:
    if inside is None:
        return None
    return el("details", el("summary", name), el("div", inside, class_="inside"), id=key)


def _side_by_side(*pictures: str | None) -> Markup | None:
    shown = [el("figure", Markup(svg)) for svg in pictures if svg is not None]
    return el("div", shown, class_="side-by-side") if shown else None


def _picture(svg: str | None) -> Markup | None:
    return None if svg is None else el("figure", Markup(svg))


def _gates(lesson: Lesson) -> Markup | None:
    height = lesson.units.height
    if not lesson.attempt.gates:
        return None
    rows = [
        _row(
            wording.sentence_case(gate.name),
            height.figure(gate.height_m),
            height.figure(gate.planned_m),
            height.figure(gate.lowest_m),
            height.figure(gate.highest_m),
        )
        for gate in lesson.attempt.gates
    ]
    titles = ("flown", "planned", "lowest", "highest")
    head = el(
        "tr",
        el("th", f"Gate, {height.unit} above the touchdown point", scope="col"),
        [el("th", title, scope="col", class_="number") for title in titles],
    )
    return el("table", el("thead", head), el("tbody", rows))


def _standard(lesson: Lesson) -> Markup | None:
    items = lesson.attempt.standard
    if not items:
        return None
    rows = [
        _row(
            wording.sentence_case(item.item),
            limit_text(item, lesson.units),
            value_text(item, lesson.units),
            _judged(item),
        )
        for item in items
    ]
    names = ("limit", "flown", "")
    head = el(
        "tr",
        el("th", "Item", scope="col"),
        [el("th", name, scope="col", class_="number") for name in names],
    )
    sources = sorted({item.source for item in items})
    return join(
        [
            el("table", el("thead", head), el("tbody", rows)),
            el("p", f"Source: {wording.listed(sources)}.", class_="sub"),
        ]
    )


def _judged(item: StandardItem) -> str:
    """Met or not; where it was not judged or counts for nothing, why."""
    judged = {True: "met", False: "not met", None: wording.NOT_OBSERVABLE}[item.is_met]
    said = [judged if item.is_met is not None or not item.reason else item_reason_text(item)]
    return ", ".join([*said, "for information"] if item.is_for_information else said)


def _stand_in(lesson: Lesson) -> Markup | None:
    """How honest the stand-in was, phase by phase, and what the engine would say."""
    stand_in, units = lesson.attempt.stand_in, lesson.units
    engine = [
        el("p", f"{finding_title(finding, units)}. {finding_text(finding, units)}")
        for finding in lesson.attempt.engine or ()
    ]
    if stand_in is None:
        return join(engine) if engine else None
    rows = [
        _row(
            wording.sentence_case(phase.phase),
            units.manifold_pressure.figure(phase.manifold_pressure_pa),
            units.sink.figure(phase.real_sink_mps),
            units.sink.figure(phase.stand_in_sink_mps),
            wording.signed(units.height.value(phase.height_error_m)),
        )
        for phase in stand_in.phases
    ]
    titles = (
        f"MP, {units.manifold_pressure.unit}",
        f"sink, dead engine, {units.sink.unit}",
        "stand-in",
        f"lost more, {units.height.unit}",
    )
    head = el("tr", el("th", "Phase", scope="col"), [el("th", title, scope="col", class_="number") for title in titles])
    return join([el("table", el("thead", head), el("tbody", rows)), *engine])


def _recording(lesson: Lesson) -> list[Markup]:
    facts = lesson.debrief.recording
    height = lesson.units.height
    lines = [
        f"{facts.format}, {facts.fixes:,} fixes, {wording.utc_date(facts.start_unix_s)}, "
        f"{wording.utc_clock(facts.start_unix_s)} to {wording.utc_clock(facts.end_unix_s)} UTC.",
        f"Heights from {facts.altitude_source}, corrected by {height.signed(facts.altitude_correction_m)}.",
        *(f"{problem}" for problem in facts.problems),
        *dict.fromkeys(reason_text(item) for item in lesson.attempt.not_observable),
    ]
    return [el("p", line) for line in lines]
