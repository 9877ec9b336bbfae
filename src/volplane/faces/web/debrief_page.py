"""The debrief page: the trainee's own view first, then the lesson sheet of one exercise flown."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from volplane.domain.debrief.results import Attempt, Debrief
from volplane.domain.finding import Finding
from volplane.faces.documents import wording
from volplane.faces.documents.debrief import limit_text, value_text
from volplane.faces.documents.wording import Units
from volplane.faces.web.figures import AttemptFigures, FindingFigures
from volplane.faces.web.layout import Frame, page
from volplane.faces.web.markup import Child, Markup, el, join
from volplane.faces.web.series import series_of

SHOWN_FINDINGS = 3
QUESTIONS = (
    ("touched", "Where did it touch?", "Trainee: where did it touch?"),
    ("sure", "When were you sure of the field?", "When were you sure?"),
    ("next", "What would you do differently next time?", "What next time?"),
)
ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth")
Document = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Lesson:
    """What the page of one attempt is made of: the value, its part of the document, its sentences and its figures."""

    debrief: Debrief
    number: int
    document: Document
    headline: str
    subline: str
    findings: Sequence[FindingWords]
    figures: AttemptFigures
    units: Units
    who: str

    @property
    def attempt(self) -> Attempt:
        """The exercise flown."""
        return self.debrief.attempts[self.number]


@dataclass(frozen=True, slots=True)
class FindingWords:
    """A finding with its sentences and pictures."""

    finding: Finding
    title: str
    text: str
    next_time: str | None
    figures: FindingFigures


def own_view_page(frame: Frame, path: str, who: str, hidden: Mapping[str, str]) -> str:
    """Three short questions before anything is shown; all of them may be skipped."""
    questions = [
        el("label", el("span", question), el("input", type="text", name=key, maxlength=120, autocomplete="off"))
        for key, question, _ in QUESTIONS
    ]
    kept = [el("input", type="hidden", name=key, value=value) for key, value in hidden.items()]
    form = el(
        "form",
        el("h1", "First, the trainee’s own view"),
        el("p", who, class_="sub"),
        questions,
        kept,
        el("input", type="hidden", name="own", value="told"),
        el(
            "div",
            el("button", "Show the debrief", type="submit", class_="first"),
            el("button", "Skip the questions", type="submit", name="own", value="skipped", formnovalidate=True),
            class_="row",
        ),
        method="get",
        action=path,
        class_="ask",
    )
    return page(frame, title="The trainee’s own view", room="Debriefs", kind="debrief", content=form)


def debrief_page(frame: Frame, lesson: Lesson, own: Mapping[str, str], others: Sequence[tuple[str, str]]) -> str:
    """The lesson sheet. `own` holds the trainee's answers, `others` name and address of every exercise of the file."""
    left = [
        _others(others, lesson.number),
        el("p", lesson.who, class_="sub"),
        _own(own),
        el("h1", _sentences(lesson.headline), class_="headline"),
        el("p", lesson.subline, class_="under-headline"),
        _lesson(lesson),
        _more(lesson),
    ]
    beside = [
        el("figure", Markup(lesson.figures.board), id="board"),
        el("figure", Markup(lesson.figures.legend), class_="legend"),
        el("p", "", class_="cursor-at", id="cursor-at", role="status"),
        el("figure", Markup(lesson.figures.ladder), class_="ladder", id="ladder"),
        _budget(lesson),
    ]
    content = el("div", el("div", left), el("aside", beside, class_="beside", aria_label="The whole exercise"))
    island = Markup(json.dumps(series_of(lesson.attempt, lesson.units), allow_nan=False).replace("<", "\\u003c"))
    return page(
        frame,
        title=lesson.headline,
        room="Debriefs",
        kind="debrief",
        content=[
            Markup(content.replace("<div>", '<div class="debrief">', 1)),
            el("script", island, type="application/json", id="flight"),
        ],
    )


def nothing_found_page(frame: Frame, sentence: str, who: str) -> str:
    """A recording without any exercise in it."""
    content = [
        el("div", el("div", el("h1", "No exercise in this recording"), class_="words"), class_="title-row"),
        el("div", el("p", who, class_="sub"), el("p", sentence), class_="prose"),
        el("p", el("a", "Choose another recording", href="/debriefs", class_="button first"), class_="prose"),
    ]
    return page(frame, title="No exercise found", room="Debriefs", kind="debrief", content=content)


def exercise_name(number: int) -> str:
    """The third exercise is the third; from ten on it is exercise 10."""
    return ORDINALS[number] if number < len(ORDINALS) else f"exercise {number + 1}"


def _sentences(text: str) -> Markup:
    """Sentences that each keep together on a line where they fit."""
    parts = re.split(r"(?<=\.) (?=[A-Z])", text)
    return Markup(" ".join(el("span", part) for part in parts))


def exercise_link(number: int) -> str:
    """What the link to one exercise of several says."""
    name = exercise_name(number)
    return wording.sentence_case(name if number >= len(ORDINALS) else f"{name} exercise")


def _others(others: Sequence[tuple[str, str]], number: int) -> Markup | None:
    if len(others) < 2:
        return None
    links = [
        el("a", name, href=address, aria_current="page" if index == number else None)
        for index, (name, address) in enumerate(others)
    ]
    return el("nav", links, class_="others", aria_label="Exercises in this recording")


def _own(own: Mapping[str, str]) -> Markup | None:
    if not any(own.values()):
        return None
    cells = [
        el("div", el("dt", short), el("dd", f"“{own[key]}”" if own.get(key) else wording.NOT_OBSERVABLE))
        for key, _, short in QUESTIONS
    ]
    return el("dl", cells, class_="own")


def _lesson(lesson: Lesson) -> Markup:
    items = [_finding(number, words) for number, words in enumerate(lesson.findings[:SHOWN_FINDINGS], start=1)]
    return el("ol", items, class_="lesson") if items else el("p", "Nothing stands out.", class_="under-headline")


def _finding(number: int, words: FindingWords) -> Markup:
    text = el(
        "div",
        el("span", str(number), class_="mark", aria_hidden="true"),
        el("h2", words.title),
        el("p", words.text),
        el("p", f"Next time: {words.next_time}", class_="next") if words.next_time else None,
        class_="words",
    )
    if words.figures.cutout is None or words.figures.chart is None:
        return el("li", text, class_="bare")
    return el(
        "li",
        text,
        el("figure", Markup(words.figures.cutout), class_="cut"),
        el("figure", Markup(words.figures.chart)),
    )


def _budget(lesson: Lesson) -> Markup | None:
    items = lesson.document["budget"]
    if not items:
        return None
    height = lesson.units.height
    values = [item.height_m for item in lesson.attempt.budget]
    rows = [
        _row(words["cause"], wording.signed(height.value(value))) for words, value in zip(items, values, strict=True)
    ]
    total = el(
        "tr",
        el("th", "change of height in hand", scope="row"),
        el("td", wording.signed(height.value(sum(values))), class_="number"),
    )
    head = el("tr", el("th", "From the low key on", scope="col"), el("th", height.unit, scope="col", class_="number"))
    return el("table", el("thead", head), el("tbody", rows), el("tfoot", total))


def _row(name: str, *values: Child) -> Markup:
    return el("tr", el("th", name, scope="row"), [el("td", value, class_="number") for value in values])


def _more(lesson: Lesson) -> Markup:
    folds = [
        _fold("Wind by height", _picture(lesson.figures.wind)),
        _fold("Height in hand", _picture(lesson.figures.height_in_hand)),
        _fold("Flown against plan", _picture(lesson.figures.against_plan)),
        _fold("Glide by phase", _picture(lesson.figures.glide_by_phase)),
        _fold("Gates", _gates(lesson)),
        _fold("Lesson standard", _standard(lesson)),
        _fold("The recording", _recording(lesson)),
    ]
    return el("div", folds, class_="more")


def _fold(name: str, inside: Markup | None) -> Markup | None:
    return None if inside is None else el("details", el("summary", name), el("div", inside, class_="inside"))


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
    met = {True: "met", False: "not met", None: wording.NOT_OBSERVABLE}
    rows = [
        _row(
            wording.sentence_case(item.item),
            limit_text(item, lesson.units),
            value_text(item, lesson.units),
            met[item.is_met],
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


def _recording(lesson: Lesson) -> Markup:
    facts = lesson.debrief.recording
    height = lesson.units.height
    lines = [
        f"{facts.format}, {facts.fixes:,} fixes, {wording.utc_date(facts.start_unix_s)}, "
        f"{wording.utc_clock(facts.start_unix_s)} to {wording.utc_clock(facts.end_unix_s)} UTC.",
        f"Heights from {facts.altitude_source}, corrected by {height.signed(facts.altitude_correction_m)}.",
        *(f"{problem}" for problem in facts.problems),
        *(str(item["reason"]) for item in lesson.document["not_observable"]),
    ]
    return join([el("p", line) for line in lines])
