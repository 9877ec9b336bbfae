"""The way to the first card: six numbers from the handbook, a runway, today's wind; everything else has a default.

The names of the fields are the keys of the three files they are written into, so a reader's fault finds its field.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from volplane.errors import Problem
from volplane.faces.documents import wording
from volplane.faces.documents.airfields import doubt_sentences, table_sentence
from volplane.faces.documents.wording import Units
from volplane.faces.web.layout import Frame, page
from volplane.faces.web.markup import Markup, el, join
from volplane.services.airfields import AirfieldsFound, FoundAirfield
from volplane.services.first_card import FAR_END
from volplane.services.metar import EXAMPLE as METAR_EXAMPLE


@dataclass(frozen=True, slots=True)
class FormField:
    """One field of a form: `key` is the file's key it is written to, `example` shows the form of a value.

    `metric` is the example in metric units where it differs, `wanted` says what a missing or unreadable value is.
    """

    key: str
    label: str
    example: str = ""
    note: str = ""
    metric: str = ""
    wanted: str = ""

    def example_in(self, units: Units) -> str:
        """The example in the reader's units."""
        return self.metric if self.metric and units.system == "metric" else self.example


SIX_NUMBERS = (
    FormField("name", "Name", "Dunlin Tourer", wanted="a name for the airplane"),
    FormField("weights.maximum", "Maximum weight", "3,650 lb", "", "1,656 kg", "the maximum weight"),
    FormField(
        "glide.best_speed",
        "Best glide speed, indicated",
        "109 kt",
        "at the maximum weight, clean",
        "202 km/h",
        "the best glide speed",
    ),
    FormField(
        "glide.ratio",
        "Glide ratio",
        "9.6",
        "feet forward for each foot down, propeller coarse",
        "",
        "a plain number from 2 to 30",
    ),
    FormField("stall.clean", "Stall, clean", "68 kt", "", "126 km/h", "the stall speed with gear and flap up"),
    FormField(
        "stall.landing",
        "Stall, landing configuration",
        "60 kt",
        "",
        "111 km/h",
        "the stall speed with gear and flap down",
    ),
)

BY_HAND = (
    FormField("name", "Airfield", "Quill Meadow", wanted="a name for the airfield"),
    FormField("elevation", "Elevation", "940 ft", "", "287 m", "the airfield's elevation"),
    FormField("runway[1].name", "Runway", "25", wanted="the runway's name"),
    FormField(
        "runway[1].threshold",
        "Landing threshold: latitude, longitude",
        "44.0, -40.0",
        "south and west negative",
        wanted="latitude and longitude in degrees",
    ),
    FormField(
        FAR_END,
        "The other end: latitude, longitude",
        "43.99367, -40.01424",
        "gives bearing and length",
        wanted="latitude and longitude in degrees",
    ),
    FormField(
        "runway[1].bearing_true",
        "Bearing, true",
        "238.4 deg",
        "not needed with both ends",
        wanted="the bearing, or the other end of the runway",
    ),
    FormField(
        "runway[1].length",
        "Landing distance",
        "4,400 ft",
        "not needed with both ends",
        "1,341 m",
        "the landing distance, or the other end of the runway",
    ),
    FormField("runway[1].pattern", "Side of the pattern", "left", "left unless written", wanted="left or right"),
)
REPORT = FormField(
    "metar",
    "Weather report (METAR), pasted whole",
    METAR_EXAMPLE,
    "gives wind, altimeter setting and temperature where they are not written below",
    wanted="a METAR: place, day and time, wind and the rest",
)
TODAY = (
    FormField("weight", "Weight to be flown", "3,350 lb", "the maximum unless written", "1,520 kg"),
    FormField("wind_0", "Wind at the field, true", "240 deg 8 kt", "calm unless written or reported"),
    FormField("wind_1", "Wind 3,000 ft above it", "270 deg 18 kt", "as at the field unless written"),
    FormField("qnh", "Altimeter setting", "30.05 inHg", "", "1017.6 hPa"),
    FormField("temperature", "Temperature at the field", "18 degC"),
)
LONGEST_REPORT = 500
_PARTS = {"airplane": SIX_NUMBERS, "airfield": BY_HAND, "today": (*TODAY, REPORT)}
# what the readers say to these is about the form of a file, which nobody sees here
_ABOUT_THE_FILE = frozenset(
    {"key-missing", "not-a-number", "not-a-position", "not-a-text", "not-a-choice", "quantity-metar"}
)
_NO_DIRECTION = frozenset({"variable-wind-only", "no-wind-in-report"})


def fault_sentence(problem: Problem, units: Units) -> str:
    """A problem as it reads below its field: without file and key, and with what to write there."""
    found = wording.sentence_case(f"found {problem.found}")
    if problem.code in _NO_DIRECTION:
        return f"{found}, expected {problem.expected}. Write the wind to plan for as the wind at the field."
    field = _field_at(problem.place)
    if field is None:
        return problem.sentence()
    if problem.code not in _ABOUT_THE_FILE:
        return f"{found}, expected {problem.expected}. {problem.remedy}"
    return f'{found}, expected {field.wanted}. Write for example "{field.example_in(units)}".'


def _field_at(place: str) -> FormField | None:
    part, _, key = place.partition(".")
    return next((each for each in _PARTS.get(part, ()) if each.key == key), None)


@dataclass(frozen=True, slots=True)
class Choice:
    """Something kept that can be taken instead of being typed: an airplane or an airfield with a runway."""

    value: str
    words: str


def first_card_page(frame: Frame, airplanes: Sequence[Choice], runways: Sequence[Choice]) -> str:
    """The whole page; what is already kept can be chosen."""
    words = el(
        "div",
        el("h1", "A new exercise"),
        el(
            "p",
            "Six entries from the handbook and a runway are enough for a first card. What is typed stays on this page "
            "until the exercise is kept.",
            class_="sub",
        ),
        class_="words",
    )
    form = el(
        "form",
        _part("airplane", "The airplane", _kept("airplane", airplanes), _rows("airplane", SIX_NUMBERS, frame.units)),
        _part("airfield", "The runway", _kept("runway", runways), join([_search(), _by_hand(frame.units)])),
        _part("today", "Today", None, join([_report(frame.units), _rows("today", TODAY, frame.units)])),
        el("div", class_="trouble", id="trouble", role="alert", hidden=True),
        el("p", class_="telling", id="progress", role="status"),
        el("div", el("button", "Plan it", type="submit", class_="first"), class_="row"),
        id="first-card",
        class_="form",
        novalidate=True,
        autocomplete="off",
    )
    return page(
        frame,
        title="A new exercise",
        room="Exercises",
        kind="form",
        content=[el("div", words, class_="title-row"), form],
    )


def found_airfields(found: AirfieldsFound, units: Units) -> Markup:
    """What the table of runway ends answers: every usable end as a choice, doubts said beside it."""
    groups = [_found_one(each, units) for each in found.airfields]
    rest = len(found.search.codes) - len(found.airfields)
    more = el("p", f"{wording.counted(rest, 'airfield')} more: write more of the name.", class_="sub") if rest else None
    return join([groups, more, el("p", table_sentence(found.origin), class_="sub")])


def _part(name: str, title: str, kept: Markup | None, typed: Markup) -> Markup:
    return el("section", el("h2", title), kept, el("div", typed, class_="typed"), id=f"part-{name}")


def _kept(name: str, choices: Sequence[Choice]) -> Markup | None:
    """What is kept, the newest chosen; the fields below are for another one."""
    if not choices:
        return None
    options = [
        _radio(name, each.value, each.words, is_chosen=number == 0) for number, each in enumerate([*choices, _OTHER])
    ]
    return el("fieldset", el("legend", f"Which {name}", class_="only-read"), options, class_="choices", data_kept=name)


_OTHER = Choice("", "another one")


def _radio(name: str, value: str, words: str, *, is_chosen: bool = False) -> Markup:
    return el("label", el("input", type="radio", name=name, value=value, checked=is_chosen), words, class_="choice")


def _rows(part: str, fields: Sequence[FormField], units: Units) -> Markup:
    return el("div", [_row(part, field, units) for field in fields], class_="rows")


def _row(part: str, field: FormField, units: Units, longest: int = 120) -> Markup:
    name = f"{part}.{field.key}"
    note = f"for example {field.example_in(units)}" + (f"; {field.note}" if field.note else "")
    return el(
        "div",
        el("label", field.label, for_=name),
        el("input", id=name, name=name, maxlength=longest, spellcheck="false", aria_describedby=f"{name}-note"),
        el("p", note, class_="note", id=f"{name}-note"),
        class_="row-field",
    )


def _report(units: Units) -> Markup:
    return el("div", _row("today", REPORT, units, LONGEST_REPORT), class_="report-row")


def _search() -> Markup:
    return el(
        "div",
        el("label", "Code or name of the airfield", for_="airfield-text"),
        el(
            "div",
            el("input", id="airfield-text", maxlength=80, spellcheck="false", type="search"),
            el("button", "Find", type="button", id="airfield-find"),
            class_="find",
        ),
        el("p", class_="telling", id="airfield-progress", role="status"),
        el("div", id="airfield-found", role="group", aria_label="Airfields found"),
        class_="row-field",
    )


def _by_hand(units: Units) -> Markup:
    return el(
        "details",
        el("summary", "Write the runway by hand, its two ends or its bearing and length"),
        _rows("airfield", BY_HAND, units),
        id="by-hand",
    )


def _found_one(found: FoundAirfield, units: Units) -> Markup:
    published = found.published
    where = ", ".join(filter(None, (published.code, published.place)))
    ends = [
        _radio(
            "runway",
            f"table:{published.code}:{runway.name}",
            f"runway {runway.name}, {units.length.text(runway.length_m)}",
        )
        for runway in found.runways
        if runway.is_usable
    ]
    doubts = [
        el("p", sentence, class_="sub") for runway in found.runways for sentence in doubt_sentences(runway, units)
    ]
    return el(
        "fieldset",
        el("legend", f"{published.name}, {where}"),
        ends or el("p", "None of its runway ends can be used.", class_="sub"),
        el("details", el("summary", "Doubts"), doubts) if doubts else None,
        class_="choices",
    )
