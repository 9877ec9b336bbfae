"""What stands out in an exercise flown: at the gates, at the turn to base, in the glide, at its end; dearest first.

Every finding is a code with SI quantities, the second it belongs to, and the height it cost where that can be said. The
thresholds are ours: below them a difference is not worth a sentence in a debrief.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from volplane.domain.debrief.budget import AIRPLANE_AND_AIR, SPEED
from volplane.domain.debrief.in_hand import BAND_90_FACTOR
from volplane.domain.debrief.mending import OFF_AT_GATE_M, ZONE_M, room_gone, shifted_turn_s
from volplane.domain.debrief.results import (
    BudgetItem,
    FlownGate,
    FlownPath,
    GoAround,
    HeightInHand,
    Mending,
    Touchdown,
)
from volplane.domain.debrief.turns_begun import planned_turn_to_base_x_m, turn_to_base_s
from volplane.domain.debrief.what_if import Actions, FlyingOn, moment_at
from volplane.domain.exercise.exercise import GateName
from volplane.domain.exercise.pilot_limits import pilot_limits
from volplane.domain.exercise.plan import Plan
from volplane.domain.exercise.speeds import ias_mps_from_cas_mps
from volplane.domain.finding import Finding, Severity
from volplane.errors import Refusal
from volplane.units import FOOT_M, KNOT_MPS, rad_from_deg

Array = NDArray[np.float64]

TURN_OFF_M = 150.0 * FOOT_M
TURN_COST_M = 20.0 * FOOT_M
GLIDE_OFF_M = 80.0 * FOOT_M
OFF_TOUCHDOWN_M = 50.0 * FOOT_M
SPEED_COST_M, SPEED_OFF_MPS = 40.0 * FOOT_M, 3.0 * KNOT_MPS
# so much steeper than the limit, beyond what the recording can blur
BANK_OVER_RAD = rad_from_deg(3.0)
_AT_A_PLACE_S = 2.0
# a turn to base moved so much already was moved for a reason
_MADE_UP_S = 2.0
_TELLS_THE_END = ("short-touchdown", "long-touchdown", "timely-go-around")


@dataclass(frozen=True, slots=True)
class Flown:
    """What the findings look at; times count from the track's start. `flying` flies on, None without a wind."""

    plan: Plan
    path: FlownPath
    bank_sd_rad: float
    gates: tuple[FlownGate, ...]
    series: HeightInHand | None
    budget: tuple[BudgetItem, ...]
    touchdown: Touchdown | None
    go_around: GoAround | None
    mending: Mending | None = None
    flying: FlyingOn | None = None

    def gate(self, name: GateName) -> FlownGate | None:
        """The gate of that name."""
        return next((gate for gate in self.gates if gate.name is name), None)

    @property
    def turn_to_base_s(self) -> float | None:
        """When the turn to base began, None where none was flown."""
        low, base = self.gate(GateName.LOW_KEY), self.gate(GateName.BASE_KEY)
        return None if low is None or base is None else turn_to_base_s(self.path, low.time_s, base.time_s)


def findings_of(flown: Flown) -> tuple[Finding, ...]:
    """Everything that stands out, dearest first.

    What broke a limit and has no cost in height stands before everything, what only tells how it ended behind it.
    """
    found = [
        *_went_wrong(flown),
        *_gates(flown),
        *_turn_to_base(flown),
        *_glide(flown),
        *_speed(flown),
        *_steep_bank(flown),
        *_no_room(flown),
        *_ending(flown),
    ]
    return tuple(sorted(found, key=_rank))


def _rank(finding: Finding) -> tuple[int, float]:
    if finding.cost_m is not None:
        return 1, -finding.cost_m
    is_limit_broken = finding.severity is not Severity.NOTE and finding.code not in _TELLS_THE_END
    return (0, 0.0) if is_limit_broken else (2, 0.0)


def _went_wrong(flown: Flown) -> list[Finding]:
    """Since when it was too low or too high to end well, and what of it was left at the final."""
    mending = flown.mending
    if mending is None or (mending.off_m < OFF_AT_GATE_M and not mending.remedies):
        return []
    quantities: dict[str, float | str] = {"off_m": mending.off_m}
    gate = None if mending.gate is None else flown.gate(mending.gate)
    if gate is not None and gate.planned_m is not None:
        quantities |= {"gate": gate.name.value, "at_gate_m": abs(gate.height_m - gate.planned_m)}
    else:
        before = [each for each in flown.gates if each.time_s <= mending.time_s]
        quantities |= {"after": before[-1].name.value} if before else {}
    for number, remedy in enumerate(mending.remedies):
        quantities |= {f"remedy_{number}": remedy.action, f"worth_{number}_m": remedy.worth_m}
        if remedy.change_s is not None:
            quantities[f"change_{number}_s"] = remedy.change_s
        if remedy.speed_mps is not None:
            speed_mps = ias_mps_from_cas_mps(flown.plan.exercise.airplane, remedy.speed_mps)
            quantities[f"speed_{number}_mps"] = speed_mps
        quantities[f"from_{number}"] = _place(flown, remedy.time_s)
    code = "too-high-since" if mending.is_high else "too-low-since"
    at_gate_m = 0.0 if gate is None or gate.planned_m is None else abs(gate.height_m - gate.planned_m)
    cost_m = max(mending.off_m, at_gate_m, *(remedy.worth_m for remedy in mending.remedies))
    return [Finding(code, Severity.CAUTION, quantities, time_s=mending.time_s, cost_m=cost_m)]


def _place(flown: Flown, time_s: float) -> str:
    """The gate, or the turn to base, at which a moment lies; empty where it lies between."""
    turn_s = flown.turn_to_base_s
    if turn_s is not None and abs(turn_s - time_s) <= _AT_A_PLACE_S:
        return "turn to base"
    return next((gate.name.value for gate in flown.gates if abs(gate.time_s - time_s) <= _AT_A_PLACE_S), "")


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

    The cost is what came to it since the gate before, so that one cause counts once.
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
        if flown.mending is not None and flown.mending.gate is gate.name:
            # that gate is told as the one from which on it was off
            continue
        edge_m = gate.lowest_m - gate.height_m if is_low else gate.height_m - gate.highest_m
        quantities: dict[str, float | str] = {
            "gate": gate.name.value,
            "low_m" if is_low else "high_m": abs(off_m),
            "height_m": gate.height_m,
            "planned_m": gate.planned_m,
            "since_last_gate_m": grown_m,
            "outside_m": max(edge_m, 0.0),
            **_made_up(flown, gate, min(abs(off_m), abs(grown_m))),
        }
        code = "low-at-gate" if is_low else "high-at-gate"
        severity = Severity.CAUTION if edge_m > 0.0 else Severity.NOTE
        cost_m = max(-grown_m, 0.0) if is_low else max(grown_m, 0.0)
        found.append(Finding(code, severity, quantities, time_s=gate.time_s, cost_m=cost_m))
    return found


def _made_up(flown: Flown, gate: FlownGate, wanted_m: float) -> dict[str, float]:
    """By how many seconds the turn to base had to come earlier, or later, to make up for a height at the low key.

    Negative is earlier. Empty where it was not the low key, no turn was flown, or none makes up for it.
    """
    turn_s, flying = flown.turn_to_base_s, flown.flying
    if gate.name is not GateName.LOW_KEY or gate.planned_m is None or turn_s is None or flying is None:
        return {}
    sign = 1.0 if gate.height_m < gate.planned_m else -1.0
    later_s = (planned_turn_to_base_x_m(flown.plan) - _at(flown.path, flown.path.x_m, turn_s)) / _at(
        flown.path, flown.path.ground_speed_mps, turn_s
    )
    if -sign * later_s > _MADE_UP_S:
        # it was made up for there already
        return {}
    shift_s = shifted_turn_s(flying, flown.path, gate.time_s, turn_s, sign * wanted_m)
    return {} if shift_s is None else {"turn_shift_s": shift_s, "turn_worth_m": wanted_m}


def _turn_to_base(flown: Flown) -> list[Finding]:
    """The turn to base against where it was planned; the cost is the height in hand lost between the two places."""
    low, base, turn_s = flown.gate(GateName.LOW_KEY), flown.gate(GateName.BASE_KEY), flown.turn_to_base_s
    if low is None or base is None or turn_s is None:
        return []
    path = flown.path
    planned_x = planned_turn_to_base_x_m(flown.plan)
    turned_x = _at(path, path.x_m, turn_s)
    farther_m = planned_x - turned_x
    if abs(farther_m) < TURN_OFF_M:
        return []
    ground_mps = _at(path, path.ground_speed_mps, turn_s)
    late_s = farther_m / max(ground_mps, 1.0)
    past_low_key_s = flown.plan.legs.downwind_time_s
    if farther_m < 0.0:
        if base.planned_m is None or base.height_m < base.planned_m + OFF_AT_GATE_M:
            return []
        quantities = {"early_s": -late_s, "nearer_m": -farther_m, "past_low_key_s": past_low_key_s}
        return [Finding("turn-to-base-early", Severity.NOTE, quantities, time_s=turn_s)]
    if flown.mending is not None and flown.mending.is_high:
        # who is too high does well to turn later
        return []
    passed_s = _passed_s(path, low.time_s, turn_s, planned_x)
    waited_m = _cost_of_waiting_m(flown, passed_s, turn_s)
    # who comes high to the low key does well to turn later: only what was lost beyond that counts
    high_m = 0.0 if low.planned_m is None else max(low.height_m - low.planned_m, 0.0)
    if waited_m is None or waited_m - high_m < TURN_COST_M:
        return []
    cost_m = waited_m - high_m
    late_s, farther_m = late_s * cost_m / waited_m, farther_m * cost_m / waited_m
    quantities = {"late_s": late_s, "farther_m": farther_m, "cost_m": cost_m, "past_low_key_s": past_low_key_s}
    return [Finding("turn-to-base-late", Severity.NOTE, quantities, time_s=turn_s, cost_m=cost_m)]


def _at(path: FlownPath, channel: Array, time_s: float) -> float:
    return float(np.interp(time_s, path.time_s, channel))


def _passed_s(path: FlownPath, from_s: float, to_s: float, x_m: float) -> float:
    inside = (path.time_s >= from_s) & (path.time_s <= to_s)
    beyond = np.flatnonzero(inside & (path.x_m <= x_m))
    if len(beyond) == 0 or beyond[0] == 0:
        return from_s
    near, far = int(beyond[0]) - 1, int(beyond[0])
    # x falls on the downwind leg
    return float(np.interp(-x_m, -path.x_m[[near, far]], path.time_s[[near, far]]))


def _cost_of_waiting_m(flown: Flown, from_s: float, to_s: float) -> float | None:
    """Height at the final lost by turning to base at the later of two moments; None where it cannot be flown."""
    if flown.flying is None:
        return None
    try:
        moment = moment_at(flown.path, from_s)
        there, later = (
            flown.flying.fly(moment, Actions(turn_to_base_after_s=after_s)).to_spare_m
            for after_s in (0.0, max(to_s - from_s, 0.0))
        )
    except Refusal:
        return None
    return there - later


def _glide(flown: Flown) -> list[Finding]:
    """The airplane or the air sank more, or less, than the dead-engine glide."""
    parts = [item for item in flown.budget if item.cause in AIRPLANE_AND_AIR]
    low = flown.gate(GateName.LOW_KEY)
    rest = sum(item.height_m for item in parts)
    if not parts or low is None or flown.series is None or abs(rest) < GLIDE_OFF_M:
        return []
    seconds = flown.series.minimum_time_s - low.time_s
    dearest = max(parts, key=lambda item: abs(item.height_m))
    quantities: dict[str, float | str] = {
        "height_m": abs(rest),
        "sink_mps": abs(rest) / max(seconds, 1.0),
        "cause": dearest.cause,
    }
    middle_s = 0.5 * (low.time_s + flown.series.minimum_time_s)
    if rest < 0.0:
        return [Finding("glide-worse", Severity.NOTE, quantities, time_s=middle_s, cost_m=-rest)]
    return [Finding("glide-better", Severity.NOTE, quantities, time_s=middle_s)]


def _speed(flown: Flown) -> list[Finding]:
    """Off the best glide speed for so long that it cost height; only where airspeed was recorded."""
    spent = next((-item.height_m for item in flown.budget if item.cause == SPEED), 0.0)
    low, cas = flown.gate(GateName.LOW_KEY), flown.path.cas_mps
    if spent < SPEED_COST_M or cas is None or low is None or flown.series is None:
        return []
    inside = (flown.path.time_s >= low.time_s) & (flown.path.time_s <= flown.series.minimum_time_s)
    known = cas[inside & np.isfinite(cas)]
    if len(known) == 0:
        return []
    best = pilot_limits(flown.plan.exercise).glide_eas_mps
    off_mps = float(known.mean()) - best
    if abs(off_mps) < SPEED_OFF_MPS:
        return []
    worst = int(np.flatnonzero(inside)[np.nanargmax(np.abs(cas[inside] - best))])
    best_ias_mps = ias_mps_from_cas_mps(flown.plan.exercise.airplane, best)
    quantities = {"off_mps": off_mps, "best_mps": best_ias_mps, "cost_m": spent}
    return [Finding("off-best-glide", Severity.NOTE, quantities, time_s=float(flown.path.time_s[worst]), cost_m=spent)]


def _steep_bank(flown: Flown) -> list[Finding]:
    """The steepest moment over the limit that holds there: one above the low key, one below it."""
    exercise = flown.plan.exercise
    low = flown.gate(GateName.LOW_KEY)
    low_s = math.inf if low is None else low.time_s
    limit = np.where(flown.path.time_s < low_s, exercise.maximum_bank_rad, exercise.maximum_bank_below_low_key_rad)
    over = np.abs(flown.path.bank_rad) - limit
    airborne = (flown.path.height_m > 15.0) & np.isfinite(over)
    if not airborne.any():
        return []
    worst = int(np.flatnonzero(airborne)[np.nanargmax(over[airborne])])
    if not over[worst] > BANK_OVER_RAD + BAND_90_FACTOR * flown.bank_sd_rad:
        return []
    quantities = {"bank_rad": float(abs(flown.path.bank_rad[worst])), "limit_rad": float(limit[worst])}
    return [Finding("steep-bank", Severity.CAUTION, quantities, time_s=float(flown.path.time_s[worst]))]


def _no_room(flown: Flown) -> list[Finding]:
    """Too high to be lost by any of the airplane's ways from the low key on, where nothing else has told it."""
    low = flown.gate(GateName.LOW_KEY)
    if flown.series is None or low is None or (flown.mending is not None and flown.mending.is_high):
        return []
    gone_s = room_gone(flown.series, low.time_s)
    if gone_s is None:
        return []
    after = flown.series.time_s >= gone_s
    above_m = float(-np.nanmin(flown.series.room_above_m[after]))
    return [Finding("too-high-to-lose", Severity.CAUTION, {"above_m": above_m}, time_s=gone_s, cost_m=above_m)]
