"""What an instructor asks of a plan beyond the page: other runways, ways to lose height, how it comes out.

Each is a section below the sheet that is folded away until it is asked for, by a button or by the address.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from volplane.domain.exercise.exercise import GateName
from volplane.domain.exercise.plan import ComparedRunway, Plan, WayFromGate
from volplane.domain.exercise.uncertainties import FEWEST_RUNS, LARGEST_SEED, MOST_RUNS
from volplane.faces.documents import comparison, ways, wording
from volplane.faces.documents.dispersion import dispersion_sentences, outcome_entries
from volplane.faces.documents.wording import Units
from volplane.faces.report.touchdown_strip import touchdown_strip
from volplane.faces.web.layout import with_query
from volplane.faces.web.markup import Child, Markup, el, join
from volplane.faces.web.rooms import query_of

STRIP = (1216.0, 148.0)
RUNS = (500, 2000, 5000, 10_000)
USUAL_RUNS = 2000
NOT_FLOWN = "The exercise cannot come out as wished, so that there is nothing to fly: the findings say what would help."


@dataclass(frozen=True, slots=True)
class Asked:
    """A section: its name in the address, the words of its button, its heading, what is said while it is made."""

    name: str
    button: str
    heading: str
    making: str


COMPARED = Asked("runways", "Compare runways", "Runways and sides", "Solving every runway and side.")
WAYS = Asked("ways", "Ways to lose height", "Ways to lose height", "Flying every way from every gate.")
DISPERSED = Asked("dispersion", "How it comes out", "How it comes out, for the instructor", "")
SECTIONS = (COMPARED, WAYS, DISPERSED)


def asked_buttons() -> list[Markup]:
    """A button for each section."""
    return [el("a", each.button, href=f"#{each.name}", class_="button") for each in SECTIONS]


def asked_sections() -> Markup:
    """The sections, folded away and empty."""
    return el("div", _section(COMPARED), _section(WAYS), _section(DISPERSED, _flights()), class_="asked-for")


def _section(asked: Asked, before: Child = None) -> Markup:
    heading = f"{asked.name}-heading"
    return el(
        "section",
        el(
            "div",
            el("h2", asked.heading, id=heading, tabindex="-1"),
            el("button", "Fold away", type="button", class_="plain fold-away"),
            class_="head",
        ),
        before,
        el("p", class_="telling", role="status"),
        el("div", class_="trouble", role="alert", hidden=True),
        el("div", id=f"{asked.name}-inside", class_="inside"),
        id=asked.name,
        class_="asked",
        aria_labelledby=heading,
        data_making=asked.making or None,
        hidden=True,
    )


def _flights() -> Markup:
    """How many flights, and from which seed; nothing is flown before somebody asks."""
    note = (
        "The plan is flown many times by a pilot who errs, corrects and goes around, in air that is not quite as "
        "forecast. It never stands on a card."
    )
    runs = [el("option", f"{number:,}", value=number, selected=number == USUAL_RUNS) for number in RUNS]
    return el(
        "form",
        el("p", note, class_="sub"),
        el(
            "div",
            el("label", el("span", "Flights", class_="label"), el("select", runs, name="runs")),
            el(
                "label",
                el("span", "Seed: the same gives the same flights", class_="label"),
                el("input", name="seed", type="number", value=1, min=0, max=LARGEST_SEED, required=True),
            ),
            el("button", "Fly it", type="submit", class_="first"),
            el("button", "Stop", type="button", class_="stop", hidden=True),
            class_="row",
        ),
        id="flights",
        autocomplete="off",
    )


def runs_within_limits(runs: int) -> bool:
    """Whether so many flights are flown at all."""
    return FEWEST_RUNS <= runs <= MOST_RUNS


def compared_inside(plan: Plan, path: str, changes: Mapping[str, str], units: Units) -> Markup:
    """Every runway end and side as a row, the recommended one first; each leads to the exercise there."""
    compared = sorted(plan.comparison, key=lambda each: not each.is_recommended)
    rows = [_compared_row(each, plan, path, changes, units) for each in compared]
    heads = (
        ("Runway, side", ""),
        ("", ""),
        (f"headwind, {units.speed.unit}", "number"),
        (f"crosswind, {units.speed.unit}", "number"),
        (f"in hand, {units.height.unit}", "number"),
        ("What speaks against it", ""),
    )
    note = (
        "Crosswind with the strongest gust; a tailwind is a negative headwind. In hand: the least height of a gate "
        "over what is required there."
    )
    return join(
        [
            el("p", comparison.verdict_text(plan.comparison), class_="verdict"),
            el(
                "table",
                el("thead", el("tr", [el("th", head, scope="col", class_=kind or None) for head, kind in heads])),
                el("tbody", rows),
                class_="compared",
            ),
            el("p", note, class_="sub"),
        ]
    )


def _compared_row(each: ComparedRunway, plan: Plan, path: str, changes: Mapping[str, str], units: Units) -> Markup:
    exercise = plan.exercise
    is_own = each.runway == exercise.runway.name and each.pattern is exercise.pattern
    place = query_of({**changes, "runway": each.runway, "pattern": str(each.pattern)})
    name = f"{each.runway}, {each.pattern} pattern"
    state = "recommended" if each.is_recommended else "possible" if each.is_feasible else "not possible"
    if is_own:
        state += ", planned now"
    in_hand = wording.NOT_OBSERVABLE if each.in_hand_m is None else units.height.figure(each.in_hand_m)
    return el(
        "tr",
        el("th", name if is_own else el("a", name, href=with_query(path, place)), scope="row"),
        el("td", state, class_="state"),
        el("td", wording.signed(units.speed.value(each.headwind_mps)), class_="number"),
        el("td", units.speed.figure(each.crosswind_gust_mps), class_="number"),
        el("td", in_hand, class_="number"),
        el("td", comparison.against_text(each)),
        class_="recommended" if each.is_recommended else None,
    )


def ways_inside(plan: Plan, units: Units) -> Markup:
    """One table a gate: what each way costs from there, in the stand-in and for real; what is used up is said."""
    if not plan.ways:
        return el("p", NOT_FLOWN)
    gates = dict.fromkeys(each.gate for each in plan.ways)
    surplus = f"To spare from high to low key: {units.height.text(plan.surplus_m)}."
    tables = [_ways_from(gate, [each for each in plan.ways if each.gate is gate], units) for gate in gates]
    return join([el("p", f"{surplus} {ways.NOTE}", class_="sub"), el("div", tables, class_="by-gate")])


def _ways_from(gate: GateName, found: Sequence[WayFromGate], units: Units) -> Markup:
    rows = [
        el("tr", el("th", way, scope="row"), el("td", flown, class_="number"), el("td", real, class_="number"))
        for _, way, flown, real in ways.ways_rows(found, units)
    ]
    unit = units.height.unit
    head = el(
        "tr",
        el("th", f"From the {gate}", scope="col"),
        el("th", f"flown, {unit}", scope="col", class_="number"),
        el("th", f"real, {unit}", scope="col", class_="number"),
    )
    nothing = None if rows else el("p", "Nothing is left.", class_="sub")
    table = el("table", el("thead", head), el("tbody", rows))
    why = [el("p", sentence, class_="sub") for sentence in ways.not_offered_sentences(found)]
    return el("div", table, nothing, why)


def dispersed_inside(plan: Plan, units: Units) -> Markup:
    """Where the wheels touched, short of the runway first, and what mattered."""
    flown = plan.dispersion
    if flown is None:
        return el("p", NOT_FLOWN)
    rows = [
        el("tr", el("th", name, scope="row"), el("td", part, class_="number")) for name, part in outcome_entries(flown)
    ]
    heading = f"Flown {flown.runs:,} times, seed {flown.seed}"
    head = el("tr", el("th", heading, scope="col"), el("th", "of all", scope="col", class_="number"))
    said = [el("p", sentence) for sentence in dispersion_sentences(flown, units)]
    return join(
        [
            el("figure", Markup(touchdown_strip(plan, flown, size_px=STRIP, units=units)), class_="strip"),
            el(
                "div",
                el("table", el("thead", head), el("tbody", rows)),
                el("div", said, class_="sentences"),
                class_="outcome",
            ),
        ]
    )
