"""A plan in words: findings, the limit that binds, what would help, phases and the ledger's items.

Short sentences, a figure in each, what it costs and what to do. Codes come from `volplane.domain.exercise`.
"""

from __future__ import annotations

from volplane.domain.exercise.exercise import Exercise, ShapeName
from volplane.domain.exercise.plan import Binding, LedgerItem, Lever, Phase, Plan
from volplane.domain.finding import Finding, Severity
from volplane.faces.documents.plan_air_words import AIR_FINDINGS, FindingWords
from volplane.faces.documents.wording import (
    DEGREE,
    NO_BREAK_SPACE,
    Rounding,
    Units,
    angle,
    counted,
    figure,
    percent,
    rounded,
    sentence_case,
    with_unit,
)
from volplane.units import deg_from_rad


def finding_text(finding: Finding, units: Units) -> str:
    """A finding of a plan as a sentence or two."""
    return _FINDINGS[finding.code](finding, units)


def binding_text(binding: Binding, units: Units) -> str:
    """The limit that makes the exercise impossible."""
    return _BINDINGS[binding.code](Finding(binding.code, Severity.STOP, binding.quantities), units)


def lever_text(lever: Lever, units: Units) -> str:
    """One thing that would help: "low key height: 1,720 ft instead of 1,500 ft"."""
    name = lever.key.replace("_", " ")
    beyond: Rounding = "up" if lever.needed > lever.now else "down"
    needed, now = _lever_value(lever, lever.needed, units, beyond), _lever_value(lever, lever.now, units, "nearest")
    return f"{name}: {needed} instead of {now}"


def phase_texts(phase: Phase, units: Units) -> tuple[str, str]:
    """What is done for real and what is flown in a phase."""
    return _REAL.get(phase.real, f"{phase.real}, propeller coarse"), _flown(phase, units)


def shape_name(exercise: Exercise) -> str:
    """What is flown, as a title begins: "Overhead", "Steep spiral"."""
    return sentence_case(str(exercise.shape))


def beginning(exercise: Exercise) -> str:
    """Where the exercise begins, within a sentence."""
    return _BEGINNINGS[exercise.shape]


_BEGINNINGS = {
    ShapeName.OVERHEAD: "the high key",
    ShapeName.POWER_OFF_180: "the low key",
    ShapeName.NINETY_DEGREES: "the base key",
    ShapeName.STEEP_SPIRAL: "the top of the spiral",
    ShapeName.EN_ROUTE: "the failure",
}


def ledger_text(item: LedgerItem, plan: Plan, units: Units) -> str:
    """An item of the ledger by name; slowing says to which speed."""
    if item.item == "slowing":
        return f"slowing to {units.speed.text(plan.exercise.airplane.approach_ias_mps)}"
    return item.item


def _lever_value(lever: Lever, value: float, units: Units, mode: Rounding) -> str:
    """A value to a round figure; what is needed is rounded so that it still does."""
    if lever.quantity == "angle_rad":
        return figure(rounded(deg_from_rad(value), 1.0, mode)) + DEGREE
    if lever.quantity == "speed_mps":
        return units.speed.text(value)
    if lever.quantity == "mass_kg":
        return units.weight.text(value)
    if lever.key == "distance_limit":
        return with_unit(figure(rounded(units.distance.value(value), 0.1, mode), 1), units.distance.unit)
    return units.rounded_height(value, mode=mode)


_REAL = {
    "set-up": "trim, propeller coarse",
    "clean": "clean, propeller coarse",
    "landing": "gear, then full flap",
    "touchdown": "within 200 ft past the point",
    "go-around": "nothing is landed on",
}


def _flown(phase: Phase, units: Units) -> str:
    begin, end = phase.manifold_pressure_from_pa, phase.manifold_pressure_to_pa
    if phase.flown == "set-up":
        power = "" if begin is None else f", {units.manifold_pressure_fraction(begin)}"
        return f"slowed, engine cooled{power}"
    if phase.flown == "landing":
        return "full flap, power off when aligned"
    if phase.flown == "touchdown":
        return "full stop or go-around"
    if phase.flown == "go-around":
        return "full power, climb straight ahead, clean up"
    if phase.flown == "no stand-in":
        return "no stand-in setting known: set power and drag to match the sink"
    if begin is None or end is None:
        return phase.flown
    first, last = units.manifold_pressure_fraction(begin), units.manifold_pressure_fraction(end)
    return f"{phase.flown}, {last}" if first == last else f"{phase.flown}, {first.split(NO_BREAK_SPACE)[0]} to {last}"


def _height(finding: Finding, name: str, units: Units) -> str:
    return units.rounded_height(finding.number(name))


def _impossible(finding: Finding, units: Units) -> str:
    binding = str(finding.quantities["binding"])
    return f"The exercise does not come out. {_BINDINGS[binding](finding, units)}"


def _near_stall(finding: Finding, units: Units) -> str:
    margin, bank = percent(finding.number("margin_fraction")), angle(finding.number("bank_rad"))
    return f"At {bank} of bank the speed is {margin} above the stall. Turn wider."


def _low_turn(finding: Finding, units: Units) -> str:
    height, least = _height(finding, "height_m", units), _height(finding, "least_m", units)
    return f"The turn to final is complete at {height}; {least} is the least. Turn earlier."


def _through_pattern_height(finding: Finding, units: Units) -> str:
    altimeter = units.altimeter_text(finding.number("altimeter_msl_m"))
    leg = _LEGS.get(str(finding.quantities["leg"]), str(finding.quantities["leg"]))
    return f"Passes the pattern height, altimeter {altimeter}, {leg}: others fly there. Look out and say where."


_LEGS = {
    "circle": "circling down",
    "half turn": "in the half turn",
    "crosswind": "on crosswind",
    "downwind": "on downwind",
    "turn to base": "in the turn to base",
    "base": "on base",
    "turn to final": "in the turn to final",
}


def _practice_floor(finding: Finding, units: Units) -> str:
    floor = units.altimeter_text(finding.number("altitude_msl_m"))
    return f"Flown to a practice floor of {floor}: every exercise ends there in a go-around."


def _aim_near(finding: Finding, units: Units) -> str:
    aim = units.rounded_height(finding.number("aim_m"))
    return f"The aim point lies only {aim} beyond the threshold. Move the touchdown point in."


def _aim_before(finding: Finding, units: Units) -> str:
    short = units.rounded_height(-finding.number("aim_m"))
    return f"The aim point lies {short} before the threshold. Move the touchdown point in by at least that."


def _little_runway(finding: Finding, units: Units) -> str:
    left, roll = units.rounded_height(finding.number("left_m")), units.rounded_height(finding.number("roll_m"))
    return f"{left} of runway beyond the touchdown point; the landing roll is {roll}."


def _below_lowest(finding: Finding, units: Units) -> str:
    gate, lowest = sentence_case(str(finding.quantities["gate"])), _height(finding, "lowest_m", units)
    return (
        f"{gate} planned at {_height(finding, 'height_m', units)}, lowest with the reserve {lowest}. "
        "Plan higher, or take less reserve."
    )


def _above_highest(finding: Finding, units: Units) -> str:
    gate, highest = sentence_case(str(finding.quantities["gate"])), _height(finding, "highest_m", units)
    return f"{gate} planned at {_height(finding, 'height_m', units)}; more than {highest} cannot be lost from there."


def _nothing_to_spare(finding: Finding, units: Units) -> str:
    surplus_m = finding.number("surplus_m")
    bank = angle(finding.number("bank_rad"))
    if surplus_m < 0.0:
        missing = units.rounded_height(-surplus_m)
        return f"{missing} missing before the low key: the half turn needs {bank} of bank. Enter higher."
    spare = "Nothing" if surplus_m < 1.5 else f"Only {units.rounded_height(surplus_m)}"
    return f"{spare} to spare before the low key. Start the half turn abeam the point."


def _entry_lowered(finding: Finding, units: Units) -> str:
    wished, height = _height(finding, "wished_m", units), _height(finding, "height_m", units)
    return f"{wished} cannot be spent before the low key: planned from {height}."


def _low_break_off(finding: Finding, units: Units) -> str:
    return (
        f"Break-off at {_height(finding, 'height_m', units)}; {_height(finding, 'least_m', units)} is the usual least."
    )


def _above_ceiling(finding: Finding, units: Units) -> str:
    entry, ceiling = (units.altimeter_text(finding.number(name)) for name in ("altitude_msl_m", "ceiling_msl_m"))
    return f"Entry at {entry} is above the airspace ceiling of {ceiling}."


def _weight(finding: Finding, units: Units) -> str:
    return f"No weight given: planned at the maximum, {units.weight.text(finding.number('weight_kg'))}."


def _unpublished_side(finding: Finding, units: Units) -> str:
    pattern, published = finding.quantities["pattern"], finding.quantities["published"]
    return f"Planned as a {pattern} pattern; the published one is {published}. Say so on the radio, and look out."


def _fine_pitch(finding: Finding, units: Units) -> str:
    low_key, point = (_height(finding, name, units) for name in ("extra_to_low_key_m", "extra_to_touchdown_m"))
    to_low_key = f"{low_key} more to the low key, {point} to the point" if finding.number("extra_to_low_key_m") else ""
    said = f"No oil pressure, propeller in fine pitch: {to_low_key or f'{point} more to the point'}."
    short_m = -finding.number("in_hand_m")
    if short_m <= 0.0:
        return said
    return f"{said} From the planned {finding.quantities['gate']} it would be {units.rounded_height(short_m)} short."


def _no_stand_in(finding: Finding, units: Units) -> str:
    return "The airplane file has no stand-in setting: power and drag for practice are not known."


def _estimates(finding: Finding, units: Units) -> str:
    return f"{sentence_case(counted(round(finding.number('count')), 'figure'))} of the airplane file are estimates."


def _low_key_go_around(finding: Finding, units: Units) -> str:
    return f"Low key under {units.altimeter_text(finding.number('altimeter_msl_m'), 'up')}: go around."


def _bank_reaches(finding: Finding, units: Units) -> str:
    return f"Bank reaches {angle(finding.number('bank_rad'))} in the {finding.quantities['turn']}."


def _surplus_spent(finding: Finding, units: Units) -> str:
    surplus, bank = _height(finding, "surplus_m", units), angle(finding.number("bank_rad"))
    upwind_m = finding.number("upwind_m")
    leg = f" and {units.rounded_height(upwind_m)} flown upwind first" if upwind_m > 5.0 else ""
    return f"{surplus} to spare before the low key, spent by a half turn at {bank}{leg}."


def _circles(finding: Finding, units: Units) -> str:
    count, bank = round(finding.number("count")), angle(finding.number("bank_rad"))
    altimeter = units.altimeter_text(finding.number("altimeter_msl_m"))
    return f"{sentence_case(counted(count, 'circle'))} at {bank} of bank first; over the high key again at {altimeter}."


def _too_few_circles(finding: Finding, units: Units) -> str:
    circles, least = (round(finding.number(name)) for name in ("circles", "least"))
    missing = units.rounded_height(finding.number("missing_m"), mode="up")
    said = f"only {counted(circles, 'circle')}" if circles else "not one circle"
    return f"A steep spiral has {least} circles at least; the entry allows {said}: {missing} missing."


def _obstacle(finding: Finding, units: Units) -> str:
    x_m, y_m, clearance_m = (finding.number(name) for name in ("x_m", "y_m", "clearance_m"))
    along = f"{units.rounded_height(abs(x_m))} {'before' if x_m < 0.0 else 'beyond'} the point"
    beside = "" if abs(y_m) < 1.0 else f", {units.rounded_height(abs(y_m))} to the {'left' if y_m > 0.0 else 'right'}"
    height, margin = _height(finding, "height_m", units), _height(finding, "margin_m", units)
    how = f"{units.rounded_height(abs(clearance_m), mode='down')} {'over' if clearance_m >= 0.0 else 'below'} its top"
    return f"The path passes the obstacle of {height} {along}{beside} {how}; {margin} is the margin."


def _low_key_too_high(finding: Finding, units: Units) -> str:
    missing, bank = _height(finding, "missing_m", units), angle(finding.number("bank_rad"))
    return f"Even at {bank} of bank the half turn reaches the low key {missing} below its wished height."


def _offset_too_small(finding: Finding, units: Units) -> str:
    offset, least = (units.rounded_height(finding.number(name)) for name in ("offset_m", "least_m"))
    limit = angle(finding.number("limit_rad"))
    return f"The downwind leg lies {offset} off; the turn to base at {limit} of bank needs {least}."


def _no_downwind_left(finding: Finding, units: Units) -> str:
    short = units.rounded_height(finding.number("short_m"))
    return f"The shortest final is not reached: it touches {short} short of the point."


def _distance_limit(finding: Finding, units: Units) -> str:
    long, limit = units.rounded_height(finding.number("long_m")), units.distance.text(finding.number("limit_m"))
    return f"Within the distance limit of {limit} it still touches {long} beyond the point."


def _turn_to_final_too_low(finding: Finding, units: Units) -> str:
    height, limit = (_height(finding, name, units) for name in ("height_m", "limit_m"))
    return f"The turn to final is complete at {height}; {limit} is the least."


def _short_of_runway(finding: Finding, units: Units) -> str:
    chance, limit = percent(finding.number("short_fraction")), percent(finding.number("limit_fraction"))
    return (
        f"{chance} of the flights of a pilot who errs land short of the runway, more than {limit}: move the point "
        "further in, keep more reserve, or fly another runway or day."
    )


_FINDINGS: dict[str, FindingWords] = {
    "short-of-runway": _short_of_runway,
    **AIR_FINDINGS,
    "impossible": _impossible,
    "near-stall": _near_stall,
    "low-turn-to-final": _low_turn,
    "through-pattern-height": _through_pattern_height,
    "practice-floor": _practice_floor,
    "aim-point-before-threshold": _aim_before,
    "aim-point-near-threshold": _aim_near,
    "little-runway-left": _little_runway,
    "gate-below-lowest": _below_lowest,
    "gate-above-highest": _above_highest,
    "nothing-to-spare": _nothing_to_spare,
    "entry-lowered": _entry_lowered,
    "low-break-off": _low_break_off,
    "above-ceiling": _above_ceiling,
    "weight-not-stated": _weight,
    "unpublished-side": _unpublished_side,
    "fine-pitch": _fine_pitch,
    "no-stand-in": _no_stand_in,
    "estimates": _estimates,
    "low-key-go-around": _low_key_go_around,
    "bank-reaches": _bank_reaches,
    "surplus-spent": _surplus_spent,
    "circles": _circles,
}

_BINDINGS: dict[str, FindingWords] = {
    "low-key-too-high": _low_key_too_high,
    "offset-too-small": _offset_too_small,
    "no-downwind-left": _no_downwind_left,
    "distance-limit": _distance_limit,
    "turn-to-final-too-low": _turn_to_final_too_low,
    "too-few-circles": _too_few_circles,
    "obstacle": _obstacle,
}
