"""What the card says, as plain data for the typesetter: altimeter readings, magnetic directions, no decimals.

Only the altimeter setting has decimals; pressures and distances are quarters in fractions. A lowest reading is rounded
up and a highest down. Where the instructor has not written words of his own, the defaults below are printed; they are
ours and nobody's official procedure.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from typing import Any, Protocol

import numpy as np

from volplane.domain.exercise.exercise import Exercise, GateName, ShapeName
from volplane.domain.exercise.hand_alter import Alteration
from volplane.domain.exercise.plan import Phase, Plan, PlannedGate
from volplane.domain.finding import Finding, Severity
from volplane.domain.geometry.airfield import Side
from volplane.domain.glide.configuration import Gear
from volplane.faces.documents import wording
from volplane.faces.documents.wording import Units
from volplane.faces.report.alter_words import alter_data
from volplane.units import deg_from_rad, m_from_ft

_DECIMAL = re.compile(r"\d+\.\d+")
_SENTENCE_END = re.compile(r"(?<=[.!?]) ")
_FIGURE_AND_UNIT = re.compile(r"(?<=[\d½¼¾]) (?=(?:in|ft|kt|s|NM|lb|rpm|m|km|km/h|hPa|kg)\b)")
ROLL_OUT = "No lever touched on the roll-out"
DEFAULT_GO_AROUND = "Full power, climb attitude, gear up, flap up in steps. Straight ahead."
# the zone of the lesson standard: at or within 200 ft beyond the point
TOUCHDOWN_ZONE_M = m_from_ft(200.0)
# tower winds are said to ten degrees (common practice, no source)
_WIND_STEP_DEG = 10


class PhaseWords(Protocol):
    """The sentences the card borrows from the plan's document."""

    def finding_text(self, finding: Finding, units: Units) -> str:
        """A finding as a sentence."""
        ...

    def phase_texts(self, phase: Phase, units: Units) -> tuple[str, str]:
        """What is done for real and what is flown in a phase."""
        ...


def card_data(
    plan: Plan,
    reason: str | None,
    trainee: str | None,
    units: Units,
    words: PhaseWords,
    altered: Sequence[Alteration] = (),
) -> dict[str, Any]:
    """Every text of the card."""
    exercise = plan.exercise
    return magnetic_head(exercise, units) | {
        "speed_unit": units.speed.unit,
        "place": place_words(exercise, trainee, units),
        "above": "floor" if exercise.flies_to_practice_floor else "field",
        "gates": [gate_words(gate, plan, units) for gate in plan.gates],
        "phases": [phase_words(phase, plan, units, words) for phase in plan.phases],
        "break_off": break_off_words(plan, units),
        "go_around": kept_together(exercise.airplane.words.go_around or DEFAULT_GO_AROUND),
        "calls": [kept_together(call) for call in exercise.airplane.words.calls or default_calls(exercise)],
        "fine_pitch": fine_pitch_words(plan, units),
        "floor": floor_words(exercise, units),
        "alter": alter_data(plan, altered, units),
        "reason": reason_words(plan, reason, units, words),
        "caution": list(wording.CAUTION_LINES),
    }


def magnetic_head(exercise: Exercise, units: Units) -> dict[str, Any]:
    """The head of every printed page: runway, side, altimeter setting, magnetic wind and its time, weight."""
    return {
        "runway": exercise.runway.name,
        "side": str(exercise.pattern),
        "setting": units.altimeter_setting.figure(exercise.weather.atmosphere.qnh_pa),
        "clock": wording.utc_clock(wind_time_unix_s(exercise)),
        "wind": wind_words(exercise, units),
        "weight": units.weight.figure(exercise.weight_kg),
        "weight_unit": units.weight.unit,
    }


def place_words(exercise: Exercise, trainee: str | None, units: Units) -> str:
    """Where, what, who and when on one line."""
    elevation = units.height.text(exercise.runway.elevation_msl_m)
    date = wording.utc_date(exercise.time_unix_s)
    who = f"{trainee.strip()}, {date}" if trainee and trainee.strip() else date
    return f"{exercise.airfield.name}, {elevation}. {exercise.airplane.name}. {_shape_words(exercise)}{who}"


def _shape_words(exercise: Exercise) -> str:
    """The shape where it is not the usual one."""
    return "" if exercise.shape is ShapeName.OVERHEAD else f"{wording.sentence_case(str(exercise.shape))}. "


def circle_words(plan: Plan) -> str:
    """Whole circles before the high key, to be counted; empty where there are none."""
    circles = plan.legs.circles
    if circles is None:
        return ""
    return f"; {wording.counted(circles.count, 'circle')} first, bank {wording.angle(circles.turn.mean_bank_rad)}"


def wind_time_unix_s(exercise: Exercise) -> float:
    """When the wind was observed, where a report says so; else the time of the exercise."""
    observed = exercise.weather.observed_unix_s
    return exercise.time_unix_s if observed is None else observed


def wind_words(exercise: Exercise, units: Units) -> dict[str, str]:
    """The wind from magnetic directions: at the field 250 / 8, its gusts, and the highest level 280 / 18 at 3,000."""
    weather, profile = exercise.weather, exercise.weather.wind
    heights = [float(height) for height in profile.height_above_field_m]
    aloft = ""
    if len(heights) > 1:
        above = wording.figure(wording.rounded(units.height.value(heights[-1]), 50.0))
        aloft = f"{_magnetic_wind(exercise, heights[-1], units)} at {above}"
    gust = "" if weather.gust_mps is None else f"gusts {units.speed.figure(weather.gust_mps)}"
    return {"field": _magnetic_wind(exercise, heights[0], units), "gust": gust, "aloft": aloft}


def _magnetic_wind(exercise: Exercise, height_m: float, units: Units) -> str:
    speed_mps, from_rad = exercise.weather.wind.speed_and_direction(height_m)
    speed = units.speed.figure(speed_mps)
    if speed == "0":
        return "calm"
    return f"{magnetic_tens(from_rad - exercise.airfield.variation_east_rad)} / {speed}"


def magnetic_tens(direction_rad: float) -> str:
    """A direction to ten degrees, 010 to 360."""
    tens = round(deg_from_rad(direction_rad) / _WIND_STEP_DEG) * _WIND_STEP_DEG % 360
    return f"{tens or 360:03d}"


def gate_words(gate: PlannedGate, plan: Plan, units: Units) -> dict[str, str]:
    """One row of gates."""
    above = wording.figure(wording.rounded(units.height.value(gate.height_m), 10.0))
    has_window = (
        math.isfinite(gate.altimeter_lowest_msl_m) and gate.altimeter_highest_msl_m >= gate.altimeter_lowest_msl_m
    )
    highest = units.altimeter(gate.altimeter_highest_msl_m, "down") if has_window else wording.NOT_OBSERVABLE
    lowest = units.altimeter(gate.altimeter_lowest_msl_m, "up") if has_window else wording.NOT_OBSERVABLE
    return {
        "name": wording.sentence_case(gate.name),
        "mark": sight_mark(gate, plan, units),
        "altimeter": units.altimeter(gate.altimeter_msl_m),
        "above": above,
        "abeam": abeam_words(gate, units),
        "highest": highest,
        "lowest": lowest,
    }


def abeam_words(gate: PlannedGate, units: Units) -> str:
    """How far beside the runway a gate lies, empty on its line: quarters of a mile, or whole hundreds of metres."""
    distance_m = abs(gate.y_m)
    if units.system == "metric":
        hundreds = wording.rounded(distance_m, 100.0)
        return wording.with_unit(wording.figure(hundreds), "m") if hundreds else ""
    text = units.distance_fraction(distance_m)
    return "" if text.startswith("0") else text


def sight_mark(gate: PlannedGate, plan: Plan, units: Units) -> str:
    """What the pilot sees at a gate that says he is there."""
    exercise, legs = plan.exercise, plan.legs
    if gate.name is GateName.HIGH_KEY:
        if exercise.high_key_offset_m < 1.0:
            return "overhead the touchdown point"
        inner = Side.LEFT if exercise.pattern is Side.LEFT else Side.RIGHT
        return f"runway under the {inner} wing tip"
    if gate.name is GateName.LOW_KEY:
        return exercise.airplane.words.sight_mark or "point at the wing tip"
    if gate.name is GateName.BASE_KEY and not exercise.shape.has_low_key:
        return "begins here, across the runway"
    if gate.name is GateName.BASE_KEY:
        behind = wording.rounded(deg_from_rad(math.atan2(legs.downwind_m, max(legs.low_key_offset_m, 1.0))), 5.0)
        return f"turn at {wording.seconds(legs.downwind_time_s)}, {wording.figure(behind)}° behind wing"
    inside_m = legs.aim_point_x_m + exercise.touchdown_beyond_threshold_m
    length = wording.figure(wording.rounded(units.length.value(inside_m), 50.0))
    return f"aim point steady, {wording.with_unit(length, units.length.unit)} in"


def phase_words(phase: Phase, plan: Plan, units: Units, words: PhaseWords) -> dict[str, str]:
    """One phase as flown: its words, the decision call practice hides, its one speed."""
    if phase.name in ("touchdown", "go-around"):
        text = end_words(plan.exercise, units)
    else:
        name = wording.sentence_case(phase.name)
        flown = creep_words(phase, plan, units) or in_fractions(words.phase_texts(phase, units)[1]).strip().rstrip(".")
        text = f"{name}: {flown}" if flown and flown.lower() != phase.name.lower() else name
        text += circle_words(plan) if "base key" in phase.name else ""
    return {"text": text, "say": decision_call(phase, plan), "speed": units.speed.figure(phase.ias_mps)}


def end_words(exercise: Exercise, units: Units) -> str:
    """How the exercise ends: on the runway, or at the altitude that plays it."""
    if exercise.flies_to_practice_floor:
        return f"At {units.altimeter_text(exercise.ground_msl_m)}, the floor: go around. No landing"
    zone = units.rounded_height(TOUCHDOWN_ZONE_M)
    return f"Touch within {zone} past the point: full stop or go-around. {ROLL_OUT}"


def creep_words(phase: Phase, plan: Plan, units: Units) -> str:
    """The manifold pressure with its creep, by altimeter reading; empty where a phase has no two pressures.

    The throttle stays, so the pressure goes with the air's outside: where it is what the phase ends with, is looked up
    on the way down.
    """
    first_pa, last_pa = phase.manifold_pressure_from_pa, phase.manifold_pressure_to_pa
    if first_pa is None or last_pa is None or not plan.gates:
        return ""
    first, last = units.manifold_pressure_fraction(first_pa), units.manifold_pressure_fraction(last_pa)
    if first == last:
        return f"{phase.flown}, {first}"
    exercise = plan.exercise
    air, base_m = exercise.weather.atmosphere, exercise.ground_msl_m - exercise.airfield.elevation_msl_m
    above_m = np.linspace(float(plan.path.height_m[0]), 0.0, 200) + base_m
    ratio = air.pressure_pa(above_m) / air.pressure_pa(above_m[0])
    ends_m = float(np.interp(last_pa / first_pa, ratio, above_m))
    begins, ends = (units.altimeter(float(air.altimeter_msl_m(at))) for at in (float(above_m[0]), ends_m))
    return f"{phase.flown}, {first} at {begins}, creeps to {last} by {ends}"


def decision_call(phase: Phase, plan: Plan) -> str:
    """The decision a dead engine would ask for and practice hides, to be said aloud; empty where there is none."""
    airplane = plan.exercise.airplane
    gear_hangs = airplane.stand_in is not None and any(
        configuration.name == airplane.stand_in.configuration and configuration.gear is Gear.DOWN
        for configuration in airplane.configurations
    )
    if "base key" in phase.name and gear_hangs:
        return "gear would still be up"
    if phase.name.startswith("final"):
        return "would now select gear" if gear_hangs else "would now select full flap"
    return ""


def break_off_words(plan: Plan, units: Units) -> dict[str, str]:
    """The break-off box: its reading rounded up, and what must be right there."""
    gate = plan.break_off
    low, high = units.speed.figure(gate.ias_low_mps), units.speed.text(gate.ias_high_mps)
    bank = wording.figure(deg_from_rad(gate.bank_rad))
    return {
        "altimeter": units.altimeter(gate.altimeter_msl_m, "up"),
        "title": "Break off here unless all four are right",
        "text": f"Between lowest and highest. {low} to {high}. Bank {bank} or less. "
        "Aligned, or in the last turn. Any no: go around now.",
    }


def default_calls(exercise: Exercise) -> Sequence[str]:
    """Calls where the instructor has written none, for the keys the shape passes."""
    shape = exercise.shape
    keys = [name for name, has in (("High key", shape.has_high_key), ("Low key", shape.has_low_key)) if has] or ["Base"]
    return (f"{keys[0]}, practice glide, runway {exercise.runway.name}.", *(f"{key}." for key in keys[1:]), "Final.")


def fine_pitch_words(plan: Plan, units: Units) -> str:
    """How much more height a propeller stuck in fine pitch needs; empty where no plan or a caution of it says so."""
    extra = plan.fine_pitch
    if extra is None or any(finding.code == "fine-pitch" for finding in _cautions(plan)):
        return ""
    to_low_key = units.rounded_height(extra.extra_to_low_key_m, 50.0, "up")
    to_touchdown = units.rounded_height(extra.extra_to_touchdown_m, 50.0, "up")
    if plan.gate(GateName.LOW_KEY) in (None, plan.gates[0]):
        return f"{to_touchdown} more to the touchdown point"
    return f"{to_low_key} more to the low key, {to_touchdown} to the touchdown point"


def floor_words(exercise: Exercise, units: Units) -> str:
    """That an altitude plays the ground, empty when it does not."""
    floor_m = exercise.airfield.practice_floor_msl_m
    if floor_m is None:
        return ""
    return f"{units.altimeter_text(floor_m)} plays the ground: every exercise ends in a go-around above it"


def reason_words(plan: Plan, reason: str | None, units: Units, words: PhaseWords) -> str:
    """The cautions the card is printed with and the instructor's reason, empty without cautions."""
    cautions = _cautions(plan)
    if not cautions:
        return ""
    said = " ".join(in_fractions(_without_percent(finding, units, words)) for finding in cautions)
    return f"Printed with {wording.counted(len(cautions), 'caution')}: {said} Reason: {(reason or '').strip()}"


def _cautions(plan: Plan) -> list[Finding]:
    return [finding for finding in plan.findings if finding.severity is Severity.CAUTION]


def _without_percent(finding: Finding, units: Units, words: PhaseWords) -> str:
    """A caution without its sentences of percentages, which the card does not carry; the instructor sheet does."""
    sentences = _SENTENCE_END.split(words.finding_text(finding, units))
    kept = [sentence for sentence in sentences if "%" not in sentence]
    return " ".join(kept) or f"{wording.sentence_case(finding.code.replace('-', ' '))}: see the instructor sheet."


def in_fractions(text: str) -> str:
    """A text whose decimals are written as quarters: 14.5 in becomes 14½ in; no altimeter setting is in such a text."""
    return kept_together(_DECIMAL.sub(lambda found: wording.with_fraction(float(found.group())), text))


def kept_together(text: str) -> str:
    """A text in which no unit can be parted from its figure by the end of a line."""
    return _FIGURE_AND_UNIT.sub(wording.NO_BREAK_SPACE, text)
