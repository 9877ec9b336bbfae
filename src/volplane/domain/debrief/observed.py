"""What the standards ask for, read off a flight: the value, how far it may be off, or why it is not known."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from volplane.domain.debrief.in_hand import BAND_90_FACTOR, FIFTY_FEET_M
from volplane.domain.debrief.results import FlownPath, GoAround, Outcome, Touchdown
from volplane.domain.debrief.standards import (
    ABEAM_HEIGHT,
    BANK_BELOW_LOW_KEY,
    BREAK_OFF_BANK,
    BREAK_OFF_SPEED,
    FASTEST,
    FINAL_HEIGHT,
    FULL_TURNS,
    GREATEST_BANK,
    LOWEST,
    ROLL_OUT,
    SLOWEST,
    TOUCHDOWN,
    TOUCHDOWN_SINK,
    Observed,
)
from volplane.domain.exercise.exercise import GateName
from volplane.domain.exercise.pilot_limits import glide_of
from volplane.domain.exercise.plan import Plan
from volplane.domain.exercise.speeds import cas_mps_from_ias_mps

Array = NDArray[np.float64]

NO_AIRSPEED, NO_LOW_KEY, NO_FINAL = "no-airspeed-recorded", "no-low-key", "final-not-reached"
NOT_TO_BREAK_OFF, DID_NOT_LAND = "break-off-not-reached", "did-not-land"
SINK_IN_SCATTER, HEADING_NOT_GIVEN = "sink-in-scatter", "direction-not-given"


@dataclass(frozen=True, slots=True)
class Seen:
    """An exercise as the standards look at it; `gate_s` are the moments of its gates.

    `base_above_ground_m` is the height of the touchdown point's level over the ground: nought, or that of a floor.
    """

    plan: Plan
    path: FlownPath
    gate_s: Mapping[GateName, float]
    outcome: Outcome
    touchdown: Touchdown | None
    go_around: GoAround | None
    bank_sd_rad: float
    height_sd_m: float
    base_above_ground_m: float

    def height_at_m(self, gate: GateName) -> float | None:
        """Height over the touchdown point at a gate; None where it was not flown."""
        time_s = self.gate_s.get(gate)
        return None if time_s is None else float(np.interp(time_s, self.path.time_s, self.path.height_m))


def observed(seen: Seen) -> dict[str, Observed]:
    """Every item of every standard."""
    bank_blur = BAND_90_FACTOR * seen.bank_sd_rad
    height_blur = BAND_90_FACTOR * seen.height_sd_m
    airborne = seen.path.height_m > FIFTY_FEET_M
    final_m, abeam_m = seen.height_at_m(GateName.FINAL), seen.height_at_m(GateName.LOW_KEY)
    lowest_m = float(np.nanmin(seen.path.height_m)) + seen.base_above_ground_m
    return {
        **_touchdown(seen.touchdown),
        **_at_break_off(seen, bank_blur),
        FINAL_HEIGHT: Observed(final_m, height_blur, None if final_m is not None else NO_FINAL),
        ABEAM_HEIGHT: Observed(
            None if abeam_m is None else abeam_m + seen.base_above_ground_m,
            height_blur,
            None if abeam_m else NO_LOW_KEY,
        ),
        BANK_BELOW_LOW_KEY: _bank_below_low_key(seen, airborne, bank_blur),
        GREATEST_BANK: Observed(greatest_lasting_rad(seen.path.bank_rad[airborne]), bank_blur),
        **_speeds(seen),
        FULL_TURNS: Observed(_full_turns(seen.path.track_rad[airborne])),
        ROLL_OUT: Observed(reason=HEADING_NOT_GIVEN),
        LOWEST: Observed(lowest_m, height_blur),
    }


def _touchdown(touchdown: Touchdown | None) -> dict[str, Observed]:
    if touchdown is None:
        return {TOUCHDOWN: Observed(reason=DID_NOT_LAND), TOUCHDOWN_SINK: Observed(reason=DID_NOT_LAND)}
    reason = SINK_IN_SCATTER if touchdown.sink_mps is None else None
    return {
        TOUCHDOWN: Observed(touchdown.x_m, BAND_90_FACTOR * touchdown.x_sd_m),
        TOUCHDOWN_SINK: Observed(touchdown.sink_mps, reason=reason),
    }


def _at_break_off(seen: Seen, bank_blur: float) -> dict[str, Observed]:
    """Speed against planned and bank as the airplane came down through the break-off height."""
    path, exercise = seen.path, seen.plan.exercise
    low_s = seen.gate_s.get(GateName.LOW_KEY)
    row = None if low_s is None else first_below(path, exercise.break_off_height_m, low_s)
    if row is None:
        reason = NO_LOW_KEY if low_s is None else NOT_TO_BREAK_OFF
        return {BREAK_OFF_SPEED: Observed(reason=reason), BREAK_OFF_BANK: Observed(reason=reason)}
    bank = Observed(float(abs(path.bank_rad[row])), bank_blur)
    if path.cas_mps is None or not math.isfinite(path.cas_mps[row]):
        return {BREAK_OFF_SPEED: Observed(reason=NO_AIRSPEED), BREAK_OFF_BANK: bank}
    rule = seen.plan.break_off
    planned_ias = rule.ias_low_mps + (rule.ias_high_mps - rule.ias_low_mps) / 3.0
    planned = cas_mps_from_ias_mps(exercise.airplane, planned_ias)
    return {BREAK_OFF_SPEED: Observed(float(path.cas_mps[row]) - planned), BREAK_OFF_BANK: bank}


def _bank_below_low_key(seen: Seen, airborne: NDArray[np.bool_], blur: float) -> Observed:
    low_s = seen.gate_s.get(GateName.LOW_KEY)
    if low_s is None:
        return Observed(reason=NO_LOW_KEY)
    return Observed(greatest_lasting_rad(seen.path.bank_rad[airborne & (seen.path.time_s >= low_s)]), blur)


def _speeds(seen: Seen) -> dict[str, Observed]:
    """Slowest and fastest against best glide until the final; never from a ground track."""
    path = seen.path
    if path.cas_mps is None:
        return {SLOWEST: Observed(reason=NO_AIRSPEED), FASTEST: Observed(reason=NO_AIRSPEED)}
    until_s = seen.gate_s.get(GateName.FINAL, float(path.time_s[-1]))
    if seen.go_around is not None:
        until_s = min(until_s, seen.go_around.time_s)
    gliding = path.cas_mps[(path.time_s <= until_s) & (path.height_m > FIFTY_FEET_M)]
    known = gliding[np.isfinite(gliding)]
    if len(known) < 3:
        return {SLOWEST: Observed(reason=NO_AIRSPEED), FASTEST: Observed(reason=NO_AIRSPEED)}
    # means over three seconds, so that the scatter of a dial does not make a record
    lasting = np.convolve(known, np.full(3, 1.0 / 3.0), mode="valid")
    best = glide_of(seen.plan.exercise).best_eas_mps
    return {SLOWEST: Observed(float(lasting.min()) - best), FASTEST: Observed(float(lasting.max()) - best)}


def _full_turns(track_rad: Array) -> float | None:
    """Whole circles flown to one side, by the track over the ground."""
    if len(track_rad) < 2:
        return None
    turned = np.unwrap(track_rad)
    return math.floor(float(turned.max() - turned.min()) / (2.0 * math.pi) + 1e-9)


def first_below(path: FlownPath, height_m: float, from_s: float) -> int | None:
    """Index of the first sample at or below a height from a time on."""
    below = np.flatnonzero((path.time_s >= from_s) & (path.height_m <= height_m))
    return int(below[0]) if len(below) else None


def _greatest(values: Array) -> float | None:
    """Greatest absolute value; None where nothing is known."""
    known = np.abs(values[np.isfinite(values)])
    return float(known.max()) if len(known) else None


def greatest_lasting_rad(bank_rad: Array) -> float | None:
    """Greatest bank, either side, that lasts: of means over three samples, so that scatter does not make a record."""
    if len(bank_rad) < 3:
        return _greatest(bank_rad)
    return _greatest(np.convolve(bank_rad, np.full(3, 1.0 / 3.0), mode="valid"))
