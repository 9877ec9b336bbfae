"""Height in hand: how much higher the airplane was each second than a dead-engine airplane would have needed to be.

The required height is the plan's own (the pilot's limits, no reserve), in the wind found from the flight. The standard
deviation joins the heights' error, the wind's and the glide's: the wind's by moving the whole calculation along each
axis of its error ellipsoid.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from volplane.domain.atmosphere.wind import WindProfile
from volplane.domain.debrief.flight import Flight
from volplane.domain.debrief.results import HeightInHand, Verdict, VerdictText
from volplane.domain.debrief.wind import WindFound
from volplane.units import FOOT_M

Array = NDArray[np.float64]

FIFTY_FEET_M = 50.0 * FOOT_M
# half the width of the 90 % band in standard deviations of a normal error
BAND_90_FACTOR = 1.645
# how well the airplane's glide ratio is known (METHODS of this project, "Pilots": ratio sd 5 %; ours)
GLIDE_SD_FRACTION = 0.05


class RequiredHeights(Protocol):
    """The window of heights around an exercise in one wind; arrays (n,) in and out."""

    def required_m(self, x_m: Array, y_m: Array, heading_rad: Array, bank_rad: Array, height_m: Array) -> Array:
        """Practical required height; the straight glide when established on final; NaN past 50 ft."""
        ...

    def last_turn_m(self, x_m: Array, y_m: Array, heading_rad: Array, bank_rad: Array, height_m: Array) -> Array:
        """Required height once the last turn is under way: no delay, and a final as short as it takes."""
        ...

    def highest_m(self, x_m: Array, y_m: Array, heading_rad: Array, bank_rad: Array, height_m: Array) -> Array:
        """Highest height that can still be lost."""
        ...


# the window of heights in a wind: levels over the field, true directions
RequiredHeightsIn = Callable[[WindProfile], RequiredHeights]


@dataclass(frozen=True, slots=True)
class Judged:
    """The moments that change how height in hand is judged; None where not flown."""

    low_key_s: float | None = None
    turn_to_base_s: float | None = None
    final_s: float | None = None


@dataclass(frozen=True, slots=True)
class AirState:
    """The flight relative to the air, each second (n,): air heading in the runway frame, airspeed, wind, bank."""

    heading_rad: Array
    tas_mps: Array
    wind_x_mps: Array
    wind_y_mps: Array
    bank_rad: Array


def air_state(flight: Flight, wind: WindFound) -> AirState:
    """Take the wind off the ground velocity; a recorded bank counts before the one derived from the turn."""
    smoothed = flight.smoothed
    wind_x, wind_y = wind.at(np.nan_to_num(smoothed.height_m))
    air_x, air_y = smoothed.velocity_x_mps - wind_x, smoothed.velocity_y_mps - wind_y
    tas = np.sqrt(air_x**2 + air_y**2 + np.nan_to_num(smoothed.climb_mps) ** 2)
    bank = smoothed.bank_rad(wind_x, wind_y)
    if flight.recorded.bank_rad is not None:
        bank = np.where(np.isfinite(flight.recorded.bank_rad), flight.recorded.bank_rad, bank)
    return AirState(np.unwrap(np.arctan2(air_y, air_x)), tas, wind_x, wind_y, bank)


def height_in_hand(
    flight: Flight,
    wind: WindFound,
    windows_in: RequiredHeightsIn,
    judged_at: Judged,
) -> HeightInHand | None:
    """Height in hand and room above each second of a gliding flight that ends with the wheels, the climb or the record.

    Minimum and first negative are looked for from the low key on, over the whole without it. Once the turn to base is
    under way nothing is left to react to, and a last turn finished low and late is a matter of the standard, not of
    reaching the runway. On the final height is lost on purpose, down to nought at 50 ft by an airplane that
    touches on the point: there only what is surely missing counts. The series ends at 50 ft. None when nothing is left
    to judge.
    """
    turn_s = math.inf if judged_at.turn_to_base_s is None else judged_at.turn_to_base_s
    flight = _above_fifty_feet(flight)
    if len(flight.time_s) < 3:
        return None
    in_hand, room = _at(flight, wind, windows_in, turn_s)
    height = flight.smoothed.height_m
    sd = np.sqrt(
        flight.smoothed.height_sd_m**2
        + flight.smoothed.height_slow_sd_m**2
        + _wind_sd_m(flight, wind, windows_in, turn_s, in_hand) ** 2
        + (GLIDE_SD_FRACTION * np.maximum(height - in_hand, 0.0)) ** 2
    )
    judged = np.isfinite(in_hand)
    if judged_at.low_key_s is not None:
        judged &= flight.time_s >= judged_at.low_key_s
    if judged_at.final_s is not None:
        judged &= (flight.time_s <= judged_at.final_s) | (in_hand + BAND_90_FACTOR * sd < 0.0)
    if not judged.any():
        return None
    lowest = int(np.flatnonzero(judged)[np.argmin(in_hand[judged])])
    negative = np.flatnonzero(judged & (in_hand < 0.0))
    return HeightInHand(
        time_s=flight.time_s,
        height_m=height,
        in_hand_m=in_hand,
        sd_m=sd,
        room_above_m=room,
        minimum_m=float(in_hand[lowest]),
        minimum_time_s=float(flight.time_s[lowest]),
        first_negative_time_s=float(flight.time_s[negative[0]]) if len(negative) else None,
    )


def verdict_of(series: HeightInHand) -> Verdict:
    """Would a dead engine have made it: the least height in hand against its 90 % band."""
    place = int(np.searchsorted(series.time_s, series.minimum_time_s - 1e-6))
    sd_m = float(series.sd_m[place])
    return Verdict(verdict_text(series.minimum_m, sd_m), series.minimum_m, sd_m, series.minimum_time_s)


def verdict_text(in_hand_m: float, sd_m: float) -> VerdictText:
    """The verdict on a least height in hand with its standard deviation."""
    if in_hand_m - BAND_90_FACTOR * sd_m > 0.0:
        return VerdictText.MADE_IT
    if in_hand_m + BAND_90_FACTOR * sd_m < 0.0:
        return VerdictText.WOULD_NOT_HAVE_MADE_IT
    return VerdictText.TOO_CLOSE_TO_CALL


def _above_fifty_feet(flight: Flight) -> Flight:
    low = np.flatnonzero(flight.smoothed.height_m < FIFTY_FEET_M)
    return flight if len(low) == 0 else flight.between(float(flight.time_s[0]), float(flight.time_s[low[0]]) - 0.5)


def _at(flight: Flight, wind: WindFound, windows_in: RequiredHeightsIn, turn_s: float) -> tuple[Array, Array]:
    """Height in hand and room above in one wind, NaN where not known."""
    windows = windows_in(wind.profile(flight.bearing_true_rad, flight.base_above_field_m))
    required = _required_m(flight, wind, windows, turn_s)
    highest = windows.highest_m(*_place(flight, wind))
    height = flight.smoothed.height_m
    return height - required, np.where(np.isfinite(highest), highest - height, np.nan)


def _required_m(flight: Flight, wind: WindFound, windows: RequiredHeights, turn_s: float) -> Array:
    """Required height each second, (n,), NaN where there is no way or it is not known."""
    required = np.full(flight.time_s.shape, np.nan)
    turning = flight.time_s >= turn_s
    for seconds, required_there in ((~turning, windows.required_m), (turning, windows.last_turn_m)):
        if seconds.any():
            required[seconds] = required_there(*(channel[seconds] for channel in _place(flight, wind)))
    return np.where(np.isfinite(required), required, np.nan)


def _place(flight: Flight, wind: WindFound) -> tuple[Array, Array, Array, Array, Array]:
    state, smoothed = air_state(flight, wind), flight.smoothed
    return smoothed.x_m, smoothed.y_m, state.heading_rad, state.bank_rad, smoothed.height_m


def _wind_sd_m(
    flight: Flight, wind: WindFound, windows_in: RequiredHeightsIn, turn_s: float, in_hand_m: Array
) -> Array:
    """Standard deviation of the height in hand from the wind's, (n,).

    Each axis is moved both ways and the smaller change counts: where the required height jumps (overhead) the larger
    one is the jump, not the uncertainty.
    """
    variance = np.zeros(len(in_hand_m))
    required = flight.smoothed.height_m - in_hand_m

    def moved(change: Array) -> Array:
        other = wind.moved(change)
        windows = windows_in(other.profile(flight.bearing_true_rad, flight.base_above_field_m))
        return np.abs(_required_m(flight, other, windows, turn_s) - required)

    for change in wind.one_sd_changes_mps():
        up, down = moved(change), moved(-change)
        variance += np.nan_to_num(np.fmin(up, down)) ** 2
    return np.sqrt(variance)
