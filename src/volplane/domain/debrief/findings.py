"""What stands out in an exercise flown: at the gates, at the turn to base, in the glide, at its end; dearest first.

Every finding is a code with SI quantities, the second it belongs to, and the height it cost where that can be said. The
thresholds are ours: below them a difference is not worth a sentence in a debrief.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from volplane.domain.debrief.budget import CONFIGURATION_AND_AIR
from volplane.domain.debrief.in_hand import BAND_90_FACTOR
from volplane.domain.debrief.results import BudgetItem, FlownGate, FlownPath, GoAround, HeightInHand, Touchdown
from volplane.domain.exercise.exercise import GateName
from volplane.domain.exercise.plan import Plan
from volplane.domain.finding import Finding, Severity
from volplane.units import FOOT_M, rad_from_deg

Array = NDArray[np.float64]

OFF_AT_GATE_M = 40.0 * FOOT_M
TURN_OFF_M = 150.0 * FOOT_M
TURN_COST_M = 20.0 * FOOT_M
GLIDE_OFF_M = 80.0 * FOOT_M
OFF_TOUCHDOWN_M = 50.0 * FOOT_M
ZONE_M = 200.0 * FOOT_M
# so much steeper than the limit, beyond what the recording can blur
BANK_OVER_RAD = rad_from_deg(3.0)
ROOM_GONE_FOR_S = 3
_LEVEL_RAD = rad_from_deg(8.0)


@dataclass(frozen=True, slots=True)
class Flown:
    """What the findings look at; times count from the track's start."""

    plan: Plan
    path: FlownPath
    bank_sd_rad: float
    gates: tuple[FlownGate, ...]
    series: HeightInHand | None
    budget: tuple[BudgetItem, ...]
    touchdown: Touchdown | None
    go_around: GoAround | None

    def gate(self, name: GateName) -> FlownGate | None:
        """The gate of that name."""
        return next((gate for gate in self.gates if gate.name is name), None)


def findings_of(flown: Flown) -> tuple[Finding, ...]:
    """Everything that stands out, cautions first, then what cost most."""
    found = [
        *_ending(flown),
        *_gates(flown),
        *_turn_to_base(flown),
        *_glide(flown),
        *_steep_bank(flown),
        *_no_room(flown),
    ]
    weight = {Severity.STOP: 0, Severity.CAUTION: 1, Severity.NOTE: 2}
    return tuple(sorted(found, key=lambda finding: (weight[finding.severity], -(finding.cost_m or 0.0))))


def _ending(flown: Flown) -> list[Finding]:
    if flown.go_around is not None:
        timely = flown.go_around.is_timely
        quantities = {
            "height_m": flown.go_around.height_m,
            "break_off_m": flown.plan.exercise.break_off_height_m,
        }
        code, severity = ("timely-go-around", Severity.NOTE) if timely else ("late-go-around", Severity.CAUTION)
        return [Finding(code, severity, quantities, time_s=flown.go_around.time_s)]
    touchdown = flown.touchdown
    if touchdown is None:
        return []
    over_m = max(-touchdown.x_m, touchdown.x_m - ZONE_M)
    if over_m < max(OFF_TOUCHDOWN_M, touchdown.x_sd_m):
        return []
    threshold_m = -flown.plan.exercise.touchdown_beyond_threshold_m
    short = touchdown.x_m < 0.0
    severity = Severity.CAUTION if touchdown.x_m + BAND_90_FACTOR * touchdown.x_sd_m < threshold_m else Severity.NOTE
    code = "short-touchdown" if short else "long-touchdown"
    size = {"short_m": -touchdown.x_m} if short else {"long_m": touchdown.x_m}
    return [Finding(code, severity, {**size, "sd_m": touchdown.x_sd_m}, time_s=touchdown.time_s)]


def _gates(flown: Flown) -> list[Finding]:
    """Gates flown low or high: where it grew since the gate before, and the first one outside its window.

    The cost is what was lost since the gate before, so that one cause counts once.
    """
    found = []
    before_m = 0.0
    were_out: set[bool] = set()
    for gate in flown.gates:
        if gate.planned_m is None or gate.lowest_m is None or gate.highest_m is None:
            continue
        off_m = gate.height_m - gate.planned_m
        grown_m = off_m - before_m
        before_m = off_m
        is_low = off_m < 0.0
        is_first_out = not gate.lowest_m <= gate.height_m <= gate.highest_m and is_low not in were_out
        surely = max(OFF_AT_GATE_M, BAND_90_FACTOR * gate.height_sd_m)
        has_grown = abs(grown_m) >= OFF_AT_GATE_M and (grown_m < 0.0) == is_low
        if abs(off_m) < surely or not (has_grown or is_first_out):
            continue
        if is_first_out:
            were_out.add(is_low)
        edge_m = gate.lowest_m - gate.height_m if is_low else gate.height_m - gate.highest_m
        quantities = {
            "gate": gate.name.value,
            "low_m" if is_low else "high_m": abs(off_m),
            "since_last_gate_m": grown_m,
            "outside_m": max(edge_m, 0.0),
        }
        code = "low-at-gate" if is_low else "high-at-gate"
        severity = Severity.CAUTION if edge_m > 0.0 else Severity.NOTE
        cost_m = max(-grown_m, 0.0) if is_low else None
        found.append(Finding(code, severity, quantities, time_s=gate.time_s, cost_m=cost_m))
    return found


def turn_to_base_s(path: FlownPath, low_key_s: float, base_key_s: float) -> float | None:
    """When the turn to base began: the last moment before the base key with the wings still level."""
    inside = np.flatnonzero((path.time_s >= low_key_s) & (path.time_s <= base_key_s))
    if len(inside) == 0:
        return None
    level = inside[np.abs(path.bank_rad[inside]) < _LEVEL_RAD]
    if len(level) == 0:
        return float(path.time_s[inside[0]])
    last = int(level[-1])
    after = min(last + 1, len(path.time_s) - 1)
    bank, next_bank = abs(float(path.bank_rad[last])), abs(float(path.bank_rad[after]))
    share = (_LEVEL_RAD - bank) / (next_bank - bank) if next_bank > _LEVEL_RAD else 0.0
    return float(path.time_s[last] + share * (path.time_s[after] - path.time_s[last]))


def _turn_to_base(flown: Flown) -> list[Finding]:
    """The turn to base against where it was planned; the cost is the height in hand lost between the two places."""
    low, base = flown.gate(GateName.LOW_KEY), flown.gate(GateName.BASE_KEY)
    if low is None or base is None or flown.series is None:
        return []
    turn_s = turn_to_base_s(flown.path, low.time_s, base.time_s)
    if turn_s is None:
        return []
    path = flown.path
    planned_x = -flown.plan.legs.downwind_m
    turned_x = float(np.interp(turn_s, path.time_s, path.x_m))
    farther_m = planned_x - turned_x
    if abs(farther_m) < TURN_OFF_M:
        return []
    ground_mps = float(np.interp(turn_s, path.time_s, path.ground_speed_mps))
    late_s = farther_m / max(ground_mps, 1.0)
    past_low_key_s = flown.plan.legs.downwind_time_s
    if farther_m < 0.0:
        if base.planned_m is None or base.height_m < base.planned_m + OFF_AT_GATE_M:
            return []
        quantities = {"early_s": -late_s, "nearer_m": -farther_m, "past_low_key_s": past_low_key_s}
        return [Finding("turn-to-base-early", Severity.NOTE, quantities, time_s=turn_s)]
    passed_s = _passed_s(path, low.time_s, turn_s, planned_x)
    cost_m = _lost_between(flown.series, passed_s, turn_s)
    if cost_m is None or cost_m < TURN_COST_M:
        return []
    quantities = {"late_s": late_s, "farther_m": farther_m, "cost_m": cost_m, "past_low_key_s": past_low_key_s}
    return [Finding("turn-to-base-late", Severity.NOTE, quantities, time_s=turn_s, cost_m=cost_m)]


def _passed_s(path: FlownPath, from_s: float, to_s: float, x_m: float) -> float:
    inside = (path.time_s >= from_s) & (path.time_s <= to_s)
    beyond = np.flatnonzero(inside & (path.x_m <= x_m))
    if len(beyond) == 0 or beyond[0] == 0:
        return from_s
    near, far = int(beyond[0]) - 1, int(beyond[0])
    # x falls on the downwind leg
    return float(np.interp(-x_m, -path.x_m[[near, far]], path.time_s[[near, far]]))


def _lost_between(series: HeightInHand, from_s: float, to_s: float) -> float | None:
    known = np.isfinite(series.in_hand_m)
    if known.sum() < 2:
        return None
    first, last = np.interp([from_s, to_s], series.time_s[known], series.in_hand_m[known])
    return float(first - last)


def _glide(flown: Flown) -> list[Finding]:
    """The airplane or the air sank more, or less, than the dead-engine glide."""
    rest = next((item.height_m for item in flown.budget if item.cause == CONFIGURATION_AND_AIR), None)
    low = flown.gate(GateName.LOW_KEY)
    if rest is None or low is None or flown.series is None or abs(rest) < GLIDE_OFF_M:
        return []
    seconds = flown.series.minimum_time_s - low.time_s
    quantities = {"height_m": abs(rest), "sink_mps": abs(rest) / max(seconds, 1.0)}
    middle_s = 0.5 * (low.time_s + flown.series.minimum_time_s)
    if rest < 0.0:
        return [Finding("glide-worse", Severity.NOTE, quantities, time_s=middle_s, cost_m=-rest)]
    return [Finding("glide-better", Severity.NOTE, quantities, time_s=middle_s)]


def _steep_bank(flown: Flown) -> list[Finding]:
    """The steepest moment over the limit that holds there: one above the low key, one below it."""
    exercise = flown.plan.exercise
    low = flown.gate(GateName.LOW_KEY)
    low_s = math.inf if low is None else low.time_s
    limit = np.where(flown.path.time_s < low_s, exercise.maximum_bank_rad, exercise.maximum_bank_below_low_key_rad)
    over = np.abs(flown.path.bank_rad) - limit
    airborne = flown.path.height_m > 15.0
    if not airborne.any():
        return []
    worst = int(np.flatnonzero(airborne)[np.nanargmax(over[airborne])])
    if not over[worst] > BANK_OVER_RAD + BAND_90_FACTOR * flown.bank_sd_rad:
        return []
    quantities = {"bank_rad": float(abs(flown.path.bank_rad[worst])), "limit_rad": float(limit[worst])}
    return [Finding("steep-bank", Severity.CAUTION, quantities, time_s=float(flown.path.time_s[worst]))]


def _no_room(flown: Flown) -> list[Finding]:
    """Too high to be lost by any of the airplane's ways, from the low key on."""
    low = flown.gate(GateName.LOW_KEY)
    if flown.series is None or low is None:
        return []
    series = flown.series
    gone = (series.time_s >= low.time_s) & (series.room_above_m < -BAND_90_FACTOR * series.sd_m)
    seconds = np.flatnonzero(gone)
    if len(seconds) < ROOM_GONE_FOR_S:
        return []
    worst = int(seconds[np.argmin(series.room_above_m[seconds])])
    quantities = {"above_m": float(-series.room_above_m[worst])}
    return [Finding("too-high-to-lose", Severity.CAUTION, quantities, time_s=float(series.time_s[seconds[0]]))]
