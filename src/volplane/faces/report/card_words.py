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

from volplane.domain.exercise.exercise import Exercise, GateName
from volplane.domain.exercise.plan import Phase, Plan, PlannedGate
from volplane.domain.finding import Finding, Severity
from volplane.domain.geometry.airfield import Side
from volplane.domain.glide.configuration import Gear
from volplane.faces.documents import wording
from volplane.faces.documents.wording import Units
from volplane.units import deg_from_rad, m_from_ft

_DECIMAL = re.compile(r"\d+\.\d+")
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


def card_data(plan: Plan, reason: str | None, trainee: str | None, units: Units, words: PhaseWords) -> dict[str, Any]:
    """Every text of the card."""
    exercise = plan.exercise
    return {
        "runway": exercise.runway.name,
        "side": str(exercise.pattern),
        "setting": units.altimeter_setting.figure(exercise.weather.atmosphere.qnh_pa),
        "clock": wording.utc_clock(exercise.time_unix_s),
        "winds": wind_words(exercise, units),
        "weight": units.weight.figure(exercise.weight_kg),
        "weight_unit": units.weight.unit,
        "speed_unit": units.speed.unit,
        "place": place_words(exercise, trainee, units),
        "above": "floor" if exercise.flies_to_practice_floor else "field",
        "gates": [gate_words(gate, plan, units) for gate in plan.gates],
        "phases": [phase_words(phase, plan, units, words) for phase in plan.phases],
        "break_off": break_off_words(plan, units),
        "go_around": kept_together(exercise.airplane.words.go_around or DEFAULT_GO_AROUND),
        "calls": list(exercise.airplane.words.calls or default_calls(exercise)),
        "fine_pitch": fine_pitch_words(plan, units),
        "floor": floor_words(exercise, units),
        "reason": reason_words(plan, reason, units, words),
        "caution": list(wording.CAUTION_LINES),
    }


def place_words(exercise: Exercise, trainee: str | None, units: Units) -> str:
    """Where, what, who and when on one line."""
    elevation = units.height.text(exercise.runway.elevation_msl_m)
    date = wording.utc_date(exercise.time_unix_s)
    who = f"{trainee.strip()}, {date}" if trainee and trainee.strip() else date
    return f"{exercise.airfield.name}, {elevation}. {exercise.airplane.name}. {who}"


def wind_words(exercise: Exercise, units: Units) -> list[str]:
    """The wind from magnetic directions, lowest level first: 250 / 8, then 280 / 18 at 3,000."""
    profile = exercise.weather.wind
    heights = [float(height) for height in profile.height_above_field_m]
    texts: list[str] = []
    for height_m in (heights[0], heights[-1])[: len(heights)]:
        speed_mps, from_rad = profile.speed_and_direction(height_m)
        figure = units.speed.figure(speed_mps)
        if figure == "0":
            said = "calm"
        else:
            said = f"{magnetic_tens(from_rad - exercise.airfield.variation_east_rad)} / {figure}"
        if texts:
            said += f" at {wording.figure(wording.rounded(units.height.value(height_m), 50.0))}"
        texts.append(said)
    return texts


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
        "highest": highest,
        "lowest": lowest,
    }


def sight_mark(gate: PlannedGate, plan: Plan, units: Units) -> str:
    """What the pilot sees at a gate that says he is there."""
    exercise, legs = plan.exercise, plan.legs
    if gate.name is GateName.HIGH_KEY:
        if exercise.high_key_offset_m < 1.0:
            return "overhead the touchdown point"
        inner = Side.LEFT if exercise.pattern is Side.LEFT else Side.RIGHT
        return f"runway under the {inner} wing tip"
    if gate.name is GateName.LOW_KEY:
        mark = exercise.airplane.words.sight_mark or "point at the wing tip"
        return f"{mark}, {units.distance_fraction(abs(gate.y_m))}"
    if gate.name is GateName.BASE_KEY:
        behind = wording.rounded(deg_from_rad(math.atan2(legs.downwind_m, max(legs.low_key_offset_m, 1.0))), 5.0)
        return f"turn at {wording.seconds(legs.downwind_time_s)}, {wording.figure(behind)}° behind wing"
    inside_m = legs.aim_point_x_m + exercise.touchdown_beyond_threshold_m
    length = wording.figure(wording.rounded(units.length.value(inside_m), 50.0))
    return f"aim point steady, {wording.with_unit(length, units.length.unit)} in"


def phase_words(phase: Phase, plan: Plan, units: Units, words: PhaseWords) -> dict[str, str]:
    """One phase as flown: its words, the decision call practice hides, its one speed."""
    flown = in_fractions(words.phase_texts(phase, units)[1]).strip().rstrip(".")
    name = wording.sentence_case(phase.name)
    if phase.name == "touchdown":
        name = f"Touch within {units.rounded_height(TOUCHDOWN_ZONE_M)} past the point"
    text = f"{name}: {flown}" if flown and flown.lower() != phase.name.lower() else name
    return {
        "text": f"{text}. {ROLL_OUT}" if phase.name == "touchdown" else text,
        "say": decision_call(phase, plan),
        "speed": units.speed.figure(phase.ias_mps),
    }


def decision_call(phase: Phase, plan: Plan) -> str:
    """The decision a dead engine would ask for and practice hides, to be said aloud; empty where there is none."""
    airplane = plan.exercise.airplane
    gear_hangs = airplane.stand_in is not None and any(
        configuration.name == airplane.stand_in.configuration and configuration.gear is Gear.DOWN
        for configuration in airplane.configurations
    )
    if phase.name.startswith("high key") and gear_hangs:
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
    """Calls where the instructor has written none."""
    return (f"High key, practice glide, runway {exercise.runway.name}.", "Low key.", "Final.")


def fine_pitch_words(plan: Plan, units: Units) -> str:
    """How much more height a propeller stuck in fine pitch needs, empty when the plan does not say."""
    extra = plan.fine_pitch
    if extra is None:
        return ""
    to_low_key = units.rounded_height(extra.extra_to_low_key_m, 50.0, "up")
    to_touchdown = units.rounded_height(extra.extra_to_touchdown_m, 50.0, "up")
    return f"{to_low_key} more to the low key, {to_touchdown} to the touchdown point"


def floor_words(exercise: Exercise, units: Units) -> str:
    """That an altitude plays the ground, empty when it does not."""
    floor_m = exercise.airfield.practice_floor_msl_m
    if floor_m is None:
        return ""
    return f"{units.altimeter_text(floor_m)} plays the ground: every exercise ends in a go-around above it"


def reason_words(plan: Plan, reason: str | None, units: Units, words: PhaseWords) -> str:
    """The cautions the card is printed with and the instructor's reason, empty without cautions."""
    cautions = [finding for finding in plan.findings if finding.severity is Severity.CAUTION]
    if not cautions:
        return ""
    said = " ".join(in_fractions(words.finding_text(finding, units)) for finding in cautions)
    return f"Printed with {wording.counted(len(cautions), 'caution')}: {said} Reason: {(reason or '').strip()}"


def in_fractions(text: str) -> str:
    """A text whose decimals are written as quarters: 14.5 in becomes 14½ in; no altimeter setting is in such a text."""
    return kept_together(_DECIMAL.sub(lambda found: wording.with_fraction(float(found.group())), text))


def kept_together(text: str) -> str:
    """A text in which no unit can be parted from its figure by the end of a line."""
    return _FIGURE_AND_UNIT.sub(wording.NO_BREAK_SPACE, text)
