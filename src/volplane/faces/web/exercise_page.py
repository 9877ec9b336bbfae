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
from volplane.faces.web.fields import label, shown
from volplane.faces.web.figures import PlanFigures
from volplane.faces.web.layout import Frame, page
from volplane.faces.web.markup import Markup, el, join
from volplane.faces.web.ports import ExerciseField
from volplane.faces.web.rooms import Bench

SHOWN_FINDINGS = 5
SEVERITY_WORDS = {"stop": "Stop", "caution": "Caution", "note": "Note"}
PAPERS = (("A5", "A5"), ("half-letter", "Half letter"), ("A4", "A4"))
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
            _card_dialog(fragments["cautions"]),
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
    return {
        "board": Markup(figures.board),
        "profile": Markup(figures.profile),
        "ladder": Markup(figures.ladder),
        "profile-tablet": Markup(figures.profile_tablet),
        "ladder-tablet": Markup(figures.ladder_tablet),
    }


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

    is_changed = any(field.is_seldom and field.key in typed for field in fields)
    notes = [
        el("p", f"{label(field, units)}: {faults[field.key]}", class_="field-fault", id=f"field-{field.key}-fault")
        for field in fields
        if field.key in faults
    ]
    return el(
        "form",
        el("div", cells(seldom=False), class_="fields"),
        el(
            "details",
            el("summary", "More of the exercise"),
            el("div", cells(seldom=True), class_="fields"),
            class_="seldom",
            open=is_changed,
        ),
        el("div", notes, id="field-faults", role="alert"),
        el("button", "Plan again", type="submit", class_="only-read", tabindex="-1"),
        id="fields",
        method="get",
        action=bench.path,
        data_api=bench.api,
        autocomplete="off",
    )


def _field(field: ExerciseField, typed: str | None, is_bad: bool, units: Units) -> Markup:
    name, own = label(field, units), shown(field.text)
    value = own if typed is None else shown(typed)
    return el(
        "label",
        el("span", name),
        el(
            "input",
            id=f"field-{field.key}",
            name=field.key,
            value=value,
            data_own=own,
            size=max(4, len(own)),
            maxlength=60,
            spellcheck="false",
            aria_invalid="true" if is_bad else None,
            aria_describedby=f"field-{field.key}-fault" if is_bad else None,
        ),
        data_label=name,
    )


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
    return el("table", el("thead", head), el("tbody", rows), el("tfoot", total))


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
    """The print button; with a stop it is off and says why."""
    stops = [text for severity, text in _finding_lines(document) if severity == "stop"]
    if not stops and plan.feasible:
        return el("button", "Print the card", id="print", type="button", class_="first")
    why = stops[0] if stops else "The exercise cannot come out as wished."
    return join(
        [
            el("button", "Print the card", type="button", disabled=True, aria_describedby="print-why"),
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


def _card_dialog(cautions: Markup) -> Markup:
    papers = [
        el(
            "label",
            el("input", type="radio", name="paper", value=value, checked=index == 0),
            name,
            class_="choice",
        )
        for index, (value, name) in enumerate(PAPERS)
    ]
    form = el(
        "form",
        el("h2", "The card", id="card-title"),
        el("div", cautions, id="cautions"),
        el("fieldset", el("legend", "Paper", class_="only-read"), papers),
        el("label", "Trainee, if wanted", class_="label", for_="card-trainee"),
        el("input", id="card-trainee", name="trainee", maxlength=60, autocomplete="off"),
        el("p", class_="telling", id="card-progress", role="status"),
        el("div", class_="trouble", id="card-trouble", role="alert", hidden=True),
        el(
            "div",
            el("button", "Back", type="button", id="card-close"),
            el("button", "Save the PDF", type="submit", class_="first"),
            class_="row",
        ),
        method="dialog",
    )
    return el("dialog", form, id="card", aria_labelledby="card-title")
