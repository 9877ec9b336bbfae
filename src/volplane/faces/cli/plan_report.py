"""A plan for a reader at the terminal: gates first, then how it is flown, where the height goes, what to know."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import Any

from volplane import units as si
from volplane.domain.atmosphere.wind import ANEMOMETER_HEIGHT_M
from volplane.domain.exercise.exercise import Exercise
from volplane.domain.exercise.plan import FinePitch, Plan, PlannedGate, TurnSummary
from volplane.faces.cli.sheet import Column, Sheet
from volplane.faces.documents import comparison, plan_words, ways, wording
from volplane.faces.documents.dispersion import dispersion_sentences, outcome_entries
from volplane.faces.documents.plan import plan_document
from volplane.faces.documents.wording import IMPERIAL, Units

SHOWN_FINDINGS = 5
SEVERITY_WORDS = {"stop": "Stop", "caution": "Caution", "note": "Note"}
SEVERITY_WIDTH = 7
Document = Mapping[str, Any]


def plan_report(plan: Plan, units: Units = IMPERIAL, sheet: Sheet | None = None) -> str:
    """The whole report as text."""
    page = Sheet() if sheet is None else sheet
    document = plan_document(plan, units)
    _title(page, plan, units)
    _outcome(page, plan, document, units)
    page.blank()
    page.table(gate_columns(plan, units))
    page.line(
        f"Altimeter on {units.altimeter_setting.text(_qnh_pa(plan))}, rounded; heights are above the touchdown point."
    )
    _shape(page, plan, units)
    _phases(page, plan, document, units)
    _ledger(page, plan, units)
    _ways(page, plan, units)
    _leg_speeds(page, plan, units)
    _rules(page, plan, units)
    _comparison(page, plan, units)
    _dispersion(page, plan, units)
    _findings(page, document)
    page.cautions()
    return page.text()


def title_of(exercise: Exercise) -> str:
    """What is planned: Overhead to runway 25, left pattern."""
    return f"{plan_words.shape_name(exercise)} to runway {exercise.runway.name}, {exercise.pattern} pattern"


def gate_columns(plan: Plan, units: Units) -> list[Column]:
    """The gates: what the altimeter reads, the window round it, and where the gate lies."""
    height, gates = units.height, plan.gates

    def column(title: str, importance: int, cell: Callable[[PlannedGate], str], *, is_number: bool = True) -> Column:
        return Column(title, [cell(gate) for gate in gates], is_number, importance)

    return [
        column("Gate", 0, lambda gate: wording.sentence_case(gate.name), is_number=False),
        column(f"Altimeter\n{height.unit}", 0, lambda gate: units.altimeter(gate.altimeter_msl_m)),
        column(f"Lowest\n{height.unit}", 0, lambda gate: _window(gate, units)[0]),
        column(f"Highest\n{height.unit}", 0, lambda gate: _window(gate, units)[1]),
        column(f"Height\n{height.unit}", 1, lambda gate: height.figure(gate.height_m)),
        column(f"Required\n{height.unit}", 3, lambda gate: height.figure(gate.required_m)),
        column(f"Abeam\n{units.distance.unit}", 2, lambda gate: units.distance.figure(abs(gate.y_m))),
        column(f"Along\n{units.length.unit}", 4, lambda gate: units.length.figure(gate.x_m)),
        column(f"Speed\n{units.speed.unit}", 5, lambda gate: units.speed.figure(gate.ias_mps)),
        column("Heading\nmagnetic", 6, lambda gate: wording.direction(gate.heading_magnetic_rad)),
        column("Time\nflown", 7, lambda gate: wording.duration(gate.time_s)),
    ]


def _window(gate: PlannedGate, units: Units) -> tuple[str, str]:
    """Lowest and highest altimeter reading, rounded so that neither flatters; en dashes where there is no window."""
    lowest_m, highest_m = gate.altimeter_lowest_msl_m, gate.altimeter_highest_msl_m
    if not (math.isfinite(lowest_m) and highest_m >= lowest_m):
        return wording.NOT_OBSERVABLE, wording.NOT_OBSERVABLE
    return units.altimeter(lowest_m, "up"), units.altimeter(highest_m, "down")


def _qnh_pa(plan: Plan) -> float:
    return plan.exercise.weather.atmosphere.qnh_pa


def _title(page: Sheet, plan: Plan, units: Units) -> None:
    exercise = plan.exercise
    glide = exercise.airplane.glide.at_weight(exercise.weight_kg)
    page.headline(title_of(exercise))
    ground = units.height.text(exercise.ground_msl_m)
    floor = f"practice floor at {ground}" if exercise.flies_to_practice_floor else ground
    page.line(
        f"{exercise.airfield.name}, {floor}. {wording.utc_date(exercise.time_unix_s)}, "
        f"{wording.utc_clock(exercise.time_unix_s)} UTC."
    )
    page.line(
        f"{exercise.airplane.name} at {units.weight.text(exercise.weight_kg)}: "
        f"best glide {units.speed.text(glide.best_eas_mps)}, {wording.ratio(glide.best_ratio)}."
    )
    temperature = units.temperature(exercise.weather.atmosphere.field_temperature_k)
    page.line(f"{wind_line(exercise, units)} {temperature} at the field.")


def wind_line(exercise: Exercise, units: Units) -> str:
    """Every wind level of the exercise in one sentence."""
    wind = exercise.weather.wind
    levels = []
    for height_m in map(float, wind.height_above_field_m):
        speed_mps, from_rad = wind.speed_and_direction(height_m)
        place = "at the field" if height_m <= ANEMOMETER_HEIGHT_M else f"at {units.height.text(height_m)}"
        levels.append(f"{units.wind(from_rad, speed_mps)} {place}")
    if exercise.weather.gust_mps is not None:
        levels[0] += f", gusts {units.speed.text(exercise.weather.gust_mps)}"
    return f"Wind (true) {', '.join(levels)}."


def _outcome(page: Sheet, plan: Plan, document: Document, units: Units) -> None:
    """An exercise that cannot be flown as wished: the limit that binds, and what would help."""
    if plan.feasible:
        return
    binding = document["binding"]
    page.heading("Not possible as wished")
    if binding is not None:
        page.line(binding["text"])
    if plan.levers:
        page.line("This would help:" if len(plan.levers) == 1 else "Each of these alone would help:")
        for lever in plan.levers:
            page.line(f"- {plan_words.lever_text(lever, units)}")
    page.line("What follows is the path that comes nearest; it is not to be flown.")


def _shape(page: Sheet, plan: Plan, units: Units) -> None:
    page.heading("Over the ground")
    rows = [*_before_low_key(plan, units), *_downwind(plan, units), *_to_the_wheels(plan, units)]
    width = max(len(name) for name, _ in rows)
    for name, text in rows:
        page.entry(name, text, width)


def _before_low_key(plan: Plan, units: Units) -> list[tuple[str, str]]:
    """Circles, upwind leg and half turn, where the shape has them."""
    legs = plan.legs
    if not plan.exercise.shape.has_high_key:
        return []
    rows = [
        ("Upwind leg", f"{units.length.text(legs.upwind_m)} past the point"),
        ("Half turn", _turn(legs.first_turn, units)),
    ]
    if legs.circles is not None:
        name = wording.sentence_case(wording.counted(legs.circles.count, "circle"))
        rows.insert(0, (name, _turn(legs.circles.turn, units)))
    return rows


def _downwind(plan: Plan, units: Units) -> list[tuple[str, str]]:
    """The downwind leg and the latest turn to base; of a shape that begins on base, where that is."""
    legs, length = plan.legs, units.length
    offset = f"{units.distance.text(legs.low_key_offset_m)} beside the centreline"
    if not plan.exercise.shape.has_low_key:
        start_x_m = float(plan.path.x_m[0])
        return [("Begins", f"on base, {offset}, {length.text(abs(start_x_m))} before the point")]
    past = f"{length.text(legs.downwind_m)} past abeam, {wording.seconds(legs.downwind_time_s)}"
    rows = [("Downwind", f"{offset}; {past}")]
    if legs.turn_no_later_x_m is not None:
        latest = length.text(abs(legs.turn_no_later_x_m))
        rows.append(("Turn no later", f"than {latest} past abeam, where the reserve is gone"))
    return rows


def _to_the_wheels(plan: Plan, units: Units) -> list[tuple[str, str]]:
    """The turn to final, the final and where it ends."""
    legs, length, exercise = plan.legs, units.length, plan.exercise
    has_low_key = exercise.shape.has_low_key
    straight = f"{length.text(legs.base_m)} straight" if legs.base_m >= 1.0 else "none: one turn to final"
    end = "Go-around" if plan.ends_in_go_around else "Touchdown"
    place = along(plan.touchdown_x_m, units)
    until = f"{wording.duration(plan.touchdown_time_s)} after {plan_words.beginning(exercise)}"
    return [
        ("Turn to base" if has_low_key else "Turn to final", _turn(legs.base_turn, units)),
        ("Base leg", straight),
        ("Final", f"{length.text(legs.final_m)} to the aim point, {along(legs.aim_point_x_m, units)}"),
        (
            end,
            f"before the floor; the wheels would touch {place}" if plan.ends_in_go_around else f"{place}, {until}",
        ),
    ]


def _turn(turn: TurnSummary, units: Units) -> str:
    return (
        f"{wording.angle(turn.mean_bank_rad)} of bank on average, {wording.angle(turn.least_bank_rad)} to "
        f"{wording.angle(turn.greatest_bank_rad)}; radius {units.length.text(turn.radius_m)}, "
        f"{wording.seconds(turn.duration_s)}"
    )


def along(x_m: float, units: Units) -> str:
    """A place along the runway against the touchdown point."""
    if abs(x_m) < 0.5 * units.length.unit_si:
        return "on the point"
    return f"{units.length.text(abs(x_m))} {'beyond' if x_m > 0.0 else 'before'} the point"


def _phases(page: Sheet, plan: Plan, document: Document, units: Units) -> None:
    words = document["phases"]
    page.blank()
    page.table(
        [
            Column("Phase", [wording.sentence_case(each["name"]) for each in words], is_number=False),
            Column(units.speed.unit, [units.speed.figure(phase.ias_mps) for phase in plan.phases]),
            Column("Real: dead engine", [each["real"] for each in words], is_number=False),
            Column("Flown: stand-in", [each["flown"] for each in words], is_number=False),
        ]
    )


def _ledger(page: Sheet, plan: Plan, units: Units) -> None:
    entry_m = sum(item.height_m for item in plan.ledger)
    page.blank()
    page.table(
        [
            Column(
                f"Where the {units.height.text(entry_m)} go",
                [plan_words.ledger_text(item, plan, units) for item in plan.ledger],
                is_number=False,
                total=f"from {plan_words.beginning(plan.exercise)}",
            ),
            Column(
                units.height.unit,
                [units.height.figure(item.height_m) for item in plan.ledger],
                total=units.height.figure(entry_m),
            ),
        ]
    )
    if plan.exercise.shape.has_high_key:
        page.line(f"To spare before the low key: {units.height.text(plan.surplus_m)}.")
    if plan.fine_pitch is not None:
        _no_oil_pressure(page, plan, plan.fine_pitch, units)


def _no_oil_pressure(page: Sheet, plan: Plan, fine: FinePitch, units: Units) -> None:
    """The second line of the plan: what it takes with the propeller in fine pitch, and at which gates it comes out."""
    estimate = " (estimate)" if fine.is_estimate else ""
    page.heading(f"No oil pressure: propeller in fine pitch{estimate}")
    at_low_key = f"{units.height.text(fine.extra_to_low_key_m)} lower at the low key, "
    by_point = f"{units.height.text(fine.extra_to_touchdown_m)} {'' if fine.extra_to_low_key_m else 'lower '}"
    page.line(f"{at_low_key if fine.extra_to_low_key_m else ''}{by_point}by the touchdown point.")
    if not fine.gates:
        return
    heights = {gate.name: gate.height_m for gate in plan.gates}
    page.table(
        [
            Column("Propeller fine", [f"from the {gate.name}" for gate in fine.gates], is_number=False),
            Column(
                f"Lowest altimeter\n{units.height.unit}",
                [
                    units.altimeter(gate.altimeter_lowest_msl_m, "up")
                    if math.isfinite(gate.altimeter_lowest_msl_m)
                    else wording.NOT_OBSERVABLE
                    for gate in fine.gates
                ],
            ),
            Column(f"Planned\n{units.height.unit}", [units.height.figure(heights[gate.name]) for gate in fine.gates]),
            Column(f"Required\n{units.height.unit}", [units.height.figure(gate.required_m) for gate in fine.gates]),
            Column(f"In hand\n{units.height.unit}", [units.height.figure(gate.in_hand_m) for gate in fine.gates]),
        ]
    )


def _ways(page: Sheet, plan: Plan, units: Units) -> None:
    """What each way to lose height costs from each gate on, where it was worked out."""
    rows = ways.ways_rows(plan.ways, units)
    if not rows:
        return
    page.heading("Ways to lose height")
    titles = ("From the", "Way", f"Flown\n{units.height.unit}", f"Real\n{units.height.unit}")
    page.table([Column(titles[i], [row[i] for row in rows], is_number=i > 1) for i in range(len(titles))])
    page.line(ways.NOTE)
    for sentence in ways.not_offered_sentences(plan.ways):
        page.line(sentence)


def _leg_speeds(page: Sheet, plan: Plan, units: Units) -> None:
    """The speed to fly of each straight leg beside the rule of thumb, where it was worked out."""
    rows = ways.leg_speeds_rows(plan.leg_speeds, units)
    if not rows:
        return
    page.heading("Speed that carries farthest, clean")
    titles = ("Leg", "Wind along it", units.speed.unit, "by the rule")
    page.table([Column(titles[i], [row[i] for row in rows], is_number=i > 1) for i in range(len(titles))])
    page.line(ways.rule_differs_text(plan.leg_speeds, units))


def _rules(page: Sheet, plan: Plan, units: Units) -> None:
    rule = plan.break_off
    page.heading(
        f"Break off at {units.height.text(rule.height_m)}, altimeter {units.altimeter_text(rule.altimeter_msl_m, 'up')}"
    )
    page.line(
        f"Inside the window, {units.speed.figure(rule.ias_low_mps)} to {units.speed.text(rule.ias_high_mps)}, bank "
        f"{wording.angle(rule.bank_rad)} or less, aligned or in the planned last turn. Any no is a go-around now. "
        f"Wings level by {units.height.text(si.m_from_ft(300.0))}; the instructor's call is final."
    )


def _comparison(page: Sheet, plan: Plan, units: Units) -> None:
    """Every runway and side, when they were asked for."""
    if not plan.comparison:
        return
    page.heading("Runways and sides")
    page.line(comparison.verdict_text(plan.comparison))
    names = [f"{each.runway} {each.pattern}" for each in plan.comparison]
    width = max(map(len, names))
    for name, each in zip(names, plan.comparison, strict=True):
        page.entry(name, comparison.reason_text(each, units), width)


def _dispersion(page: Sheet, plan: Plan, units: Units) -> None:
    """What became of many flights, when they were asked for."""
    if plan.dispersion is None:
        return
    page.heading(f"Flown {plan.dispersion.runs:,} times by a pilot who errs and corrects (for the instructor)")
    entries = outcome_entries(plan.dispersion)
    width = max(len(name) for name, _ in entries)
    for name, text in entries:
        page.entry(name, text, width)
    for sentence in dispersion_sentences(plan.dispersion, units):
        page.line(sentence)


def _findings(page: Sheet, document: Document) -> None:
    # what makes an exercise impossible stands at the top already
    findings = [each for each in document["findings"] if each["code"] != "impossible"]
    page.heading("Findings")
    if not findings:
        page.line("Nothing stands out.")
    for finding in findings[:SHOWN_FINDINGS]:
        page.entry(SEVERITY_WORDS[finding["severity"]], finding["text"], SEVERITY_WIDTH)
    rest = len(findings) - SHOWN_FINDINGS
    if rest > 0:
        page.line(f"{wording.sentence_case(wording.counted(rest, 'more finding'))} with --json.")
