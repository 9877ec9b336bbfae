"""The exercise page: fields, whiteboard, profile, ladder, phases, where the height goes, findings, the card.

The page is a dozen fragments by id. A whole page puts them into their places; after a change the client replaces the
same fragments one by one, so there is one drawing and one wording, here.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from volplane.domain.exercise.plan import Plan
from volplane.faces.documents import plan_words, wording
from volplane.faces.documents.wording import Units
from volplane.faces.web.asked_sections import asked_buttons, asked_sections
from volplane.faces.web.card_dialog import card_dialog
from volplane.faces.web.fields import label, shown
from volplane.faces.web.figures import PlanFigures
from volplane.faces.web.layout import Frame, page, with_query
from volplane.faces.web.markup import Markup, el, join
from volplane.faces.web.ports import ExerciseField
from volplane.faces.web.rooms import Bench, query_of

SHOWN_FINDINGS = 5
SEVERITY_WORDS = {"stop": "Stop", "caution": "Caution", "note": "Note"}
# how a plan is taken along: the ending of the file, and what it is
FILES = (
    ("svg", "Whiteboard, SVG"),
    ("kml", "Path and gates, KML"),
    ("gpx", "Path and gates, GPX"),
    ("geojson", "Path and gates, GeoJSON"),
    ("csv", "Second by second, CSV"),
)
Document = Mapping[str, Any]


def exercise_page(
    frame: Frame,
    bench: Bench,
    typed: Mapping[str, str],
    fragments: Mapping[str, Markup],
    faults: Mapping[str, str],
    title: str,
) -> str:
    """The whole page. `typed` holds what the address says of each field, `faults` the sentence of each bad one.

    The key "" of `faults` is what belongs to no field. The drawing then is of the exercise without the bad values.
    """
    bad = [shown(typed.get(field.key, "")) for field in bench.fields if field.key in faults]
    stale = f"Before the change to {', '.join(bad)}." if bad else ""
    content = join(
        [
            el(
                "div",
                el("div", fragments["title"], id="title"),
                el(
                    "div",
                    el("p", stale, class_="telling", id="stale", role="status"),
                    el("p", class_="telling", id="progress", role="status"),
                    class_="tellings",
                ),
                class_="words",
            ),
            el("div", fragments["actions"], class_="actions", id="actions"),
        ]
    )
    return page(
        frame,
        title=title,
        room="Exercises",
        kind="exercise",
        content=[
            el("div", content, class_="title-row"),
            _fields(bench, typed, faults, frame.units),
            el("div", el("p", faults[""]) if "" in faults else None, class_="trouble", id="trouble", role="alert")
            if "" in faults
            else el("div", class_="trouble", id="trouble", role="alert", hidden=True),
            _sheet(fragments, is_stale=bool(bad)),
            asked_sections(),
            card_dialog(fragments["cautions"]),
        ],
    )


def page_title(plan: Plan) -> str:
    """What the page is about: Overhead to runway 25, left pattern."""
    exercise = plan.exercise
    return f"{wording.sentence_case(str(exercise.shape))} to runway {exercise.runway.name}, {exercise.pattern} pattern"


def fragments_of(plan: Plan, document: Document, figures: PlanFigures, units: Units) -> dict[str, Markup]:
    """The pieces of the page that change with the plan, by the id they stand in."""
    findings = _finding_lines(document)
    return {
        "title": _title(plan, units),
        "actions": _actions(plan, document),
        **drawn_pieces(figures),
        "phases": _phases(plan, document, units),
        "ledger": _ledger(plan, units),
        "findings": join([_findings(findings), _levers(plan, units)]),
        "cautions": _cautions(findings),
    }


def drawn_pieces(figures: PlanFigures) -> dict[str, Markup]:
    """The drawings alone, by the id they stand in."""
    drawn = {
        "board": figures.board,
        "profile": figures.profile,
        "ladder": figures.ladder,
        "profile-tablet": figures.profile_tablet,
        "ladder-tablet": figures.ladder_tablet,
    }
    return {place: Markup(svg) for place, svg in drawn.items() if svg is not None}


def _title(plan: Plan, units: Units) -> Markup:
    exercise = plan.exercise
    glide = exercise.airplane.glide.at_weight(exercise.weight_kg)
    elevation = units.height.text(exercise.ground_msl_m)
    facts = (
        f"{exercise.airfield.name}, {elevation}. {exercise.airplane.name}, "
        f"best glide {units.speed.text(glide.best_eas_mps)}, {wording.ratio(glide.best_ratio)}"
    )
    when = f"For {wording.utc_date(exercise.time_unix_s)}, {wording.utc_clock(exercise.time_unix_s)} UTC."
    return join([el("h1", page_title(plan)), el("p", facts, class_="sub"), el("p", when, class_="sub printed")])


def _fields(bench: Bench, typed: Mapping[str, str], faults: Mapping[str, str], units: Units) -> Markup:
    fields = bench.fields

    def cells(*, seldom: bool) -> list[Markup]:
        chosen = [field for field in fields if field.is_seldom is seldom]
        return [_field(field, typed.get(field.key), field.key in faults, units) for field in chosen]

    is_unfolded = any(field.is_seldom and field.key in typed for field in fields)
    notes = [
        el("p", f"{label(field, units)}: {faults[field.key]}", class_="field-fault", id=f"field-{field.key}-fault")
        for field in fields
        if field.key in faults
    ]
    return el(
        "form",
        el("div", cells(seldom=False), class_="fields"),
        _also(bench, typed),
        el(
            "details",
            el("summary", "More of the exercise"),
            el("div", cells(seldom=True), class_="fields"),
            class_="seldom",
            open=is_unfolded,
        ),
        el("div", notes, id="field-faults", role="alert"),
        el("button", "Plan again", type="submit", class_="only-read", tabindex="-1"),
        id="fields",
        method="get",
        action=bench.path,
        data_api=bench.api,
        data_seen=bench.texts.exercise.number,
        autocomplete="off",
    )


def _also(bench: Bench, typed: Mapping[str, str]) -> Markup:
    """What can be done with the values besides planning: keep them, give them back, take them elsewhere."""
    query = query_of(typed)
    files = [
        el("a", words, href=with_query(f"{bench.api}/export/{ending}", query), download=True, data_keeps_query=True)
        for ending, words in FILES
    ]
    return el(
        "div",
        el(
            "div",
            el("button", "Keep these values", type="button", id="keep"),
            el("button", "Back to the kept values", type="button", id="give-back"),
            class_="differs",
            id="differs",
            hidden=not typed,
        ),
        el("a", "Debrief a recording", href=f"/debriefs?exercise={bench.key}"),
        el("a", "Lesson plan", href=f"{bench.path}/lesson"),
        el(
            "a",
            "Airplane at this weight",
            href=with_query(f"/airplanes/{bench.texts.airplane.file}?exercise={bench.key}", query, joiner="&"),
            data_keeps_query=f"exercise={bench.key}",
        ),
        el("details", el("summary", "Save as a file"), el("div", files, class_="paper"), class_="menu", id="files"),
        class_="also",
    )


def _field(field: ExerciseField, typed: str | None, is_bad: bool, units: Units) -> Markup:
    name, own = label(field, units), shown(field.text)
    value = own if typed is None else shown(typed)
    common = {
        "id": f"field-{field.key}",
        "name": field.key,
        "data_own": own,
        "aria_invalid": "true" if is_bad else None,
        "aria_describedby": f"field-{field.key}-fault" if is_bad else None,
    }
    if field.choices:
        control = _choice(field, value, common)
    else:
        control = el("input", value=value, size=max(4, len(own)), maxlength=60, spellcheck="false", **common)
    return el("label", el("span", name), control, data_label=name)


def _choice(field: ExerciseField, value: str, common: Mapping[str, str | None]) -> Markup:
    """A field that holds one of some words; a word of the address that is none of them is shown as it stands."""
    words = field.choices if value in field.choices else (*field.choices, value)
    options = [el("option", wording.sentence_case(word), value=word, selected=word == value) for word in words]
    return el("select", options, **common)


def _sheet(fragments: Mapping[str, Markup], *, is_stale: bool) -> Markup:
    def figure(name: str, extra: str = "") -> Markup:
        return el("figure", fragments[name], id=name, class_=extra or None)

    return el(
        "div",
        el("figure", fragments["board"], id="board", class_="board"),
        el(
            "div",
            figure("profile", "for-desktop"),
            figure("ladder", "for-desktop"),
            figure("profile-tablet", "for-tablet"),
            figure("ladder-tablet", "for-tablet"),
            class_="charts",
        ),
        el("div", fragments["phases"], id="phases", class_="phases"),
        el(
            "div",
            el("div", fragments["ledger"], id="ledger", class_="ledger"),
            el("section", fragments["findings"], id="findings", class_="findings", aria_label="Findings"),
            class_="tables",
        ),
        id="sheet",
        class_="sheet stale" if is_stale else "sheet",
    )


def _phases(plan: Plan, document: Document, units: Units) -> Markup:
    last = len(plan.phases) - 1
    rows = [
        el(
            "tr",
            el("th", wording.sentence_case(words["name"]), scope="row"),
            el(
                "td",
                units.speed.figure(phase.ias_mps),
                class_="number leading" if 0 < index < last else "number",
            ),
            el("td", words["real"]),
            el("td", words["flown"]),
        )
        for index, (phase, words) in enumerate(zip(plan.phases, document["phases"], strict=True))
    ]
    head = el(
        "tr",
        el("th", "Phase", scope="col"),
        el("th", units.speed.unit, scope="col", class_="number"),
        el("th", "Real: dead engine", scope="col"),
        el("th", "Flown: stand-in", scope="col"),
    )
    return el("table", el("thead", head), el("tbody", rows))


def _ledger(plan: Plan, units: Units) -> Markup:
    entry_m = plan.exercise.entry_height_m if not plan.gates else plan.gates[0].height_m
    rows = [
        el(
            "tr",
            el("th", plan_words.ledger_text(item, plan, units), scope="row"),
            el("td", units.height.figure(item.height_m), class_="number"),
        )
        for item in plan.ledger
    ]
    spare = el("p", f"To spare, high to low key: {units.height.text(plan.surplus_m)}.", class_="sub")
    total = el(
        "tr",
        el("th", "from the high key", scope="row"),
        el("td", units.height.figure(sum(item.height_m for item in plan.ledger)), class_="number"),
    )
    head = el(
        "tr",
        el("th", f"Where the {units.height.text(entry_m)} go", scope="col"),
        el("th", units.height.unit, scope="col", class_="number"),
    )
    return join([el("table", el("thead", head), el("tbody", rows), el("tfoot", total)), spare])


def _finding_lines(document: Document) -> list[tuple[str, str]]:
    """Severity and sentence of every finding; what makes an exercise impossible, and what would help, stands first."""
    lines = [(finding["severity"], finding["text"]) for finding in document["findings"]]
    binding = document["binding"]
    if binding is not None and not any(severity == "stop" for severity, _ in lines):
        lines.insert(0, ("stop", binding["text"]))
    return lines


def _findings(lines: Sequence[tuple[str, str]]) -> Markup:
    if not lines:
        return join([el("h2", "Findings"), el("p", "Nothing stands out.")])
    rest = lines[SHOWN_FINDINGS:]
    more = el("details", el("summary", f"{len(rest)} more"), _finding_list(rest)) if rest else None
    return join([el("h2", "Findings"), _finding_list(lines[:SHOWN_FINDINGS]), more])


def _levers(plan: Plan, units: Units) -> Markup | None:
    """For an exercise that cannot come out: the smallest change of each lever that makes it possible."""
    if not plan.levers:
        return None
    lines = [wording.sentence_case(plan_words.lever_text(lever, units)) for lever in plan.levers]
    return join(
        [
            el("h2", "Any one of these makes it possible", class_="again"),
            el("ul", [el("li", f"{line}.", class_="bare") for line in lines]),
        ]
    )


def _finding_list(lines: Sequence[tuple[str, str]]) -> Markup:
    return el("ul", [el("li", el("b", SEVERITY_WORDS[severity]), el("span", text)) for severity, text in lines])


def _actions(plan: Plan, document: Document) -> Markup:
    """The sections to ask for, and the print button; with a stop it is off and says why."""
    stops = [text for severity, text in _finding_lines(document) if severity == "stop"]
    if not stops and plan.feasible:
        card = el("button", "Print the card", id="print", type="button", class_="first")
        return el("div", asked_buttons(), card, class_="row")
    why = stops[0] if stops else "The exercise cannot come out as wished."
    off = el("button", "Print the card", type="button", disabled=True, aria_describedby="print-why")
    return join(
        [
            el("div", asked_buttons(), off, class_="row"),
            el("p", f"No card: {why}", class_="why", id="print-why"),
        ]
    )


def _cautions(lines: Sequence[tuple[str, str]]) -> Markup:
    cautions = [line for line in lines if line[0] == "caution"]
    if not cautions:
        return Markup("")
    return join(
        [
            el("div", _finding_list(cautions), class_="findings"),
            el("label", "Reason to fly it all the same, printed on the card", class_="label", for_="card-reason"),
            el("textarea", id="card-reason", name="reason", rows=2, maxlength=300, required=True),
        ]
    )
