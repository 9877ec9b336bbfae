"""Windows: the lowest height that still works and the highest that can still be lost, from any place of an exercise.

Lowest is the practical required height (plus the reserve, for a gate). Highest is what is used up from here on along
the planned path with everything out that the limits allow at the planned speeds, touching down at the far edge of the
zone: added up from the drag and put right by flights. Beside the planned path both edges move together, by the
difference in required height.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from volplane.domain.exercise.flying import Bench
from volplane.domain.exercise.speeds import ias_mps_from_eas_mps
from volplane.domain.glide.configuration import Configuration, Flap, Gear, Propeller
from volplane.domain.glide.guided_flight import Air, GuidedFlight, Leg, Start
from volplane.domain.glide.practical_height import FIFTY_FEET_M, PracticalHeight, practical_height
from volplane.domain.glide.required_height import ALIGNED_WITHIN_RAD, OFFSET_AT_AIM_POINT_M
from volplane.units import FOOT_M

Array = NDArray[np.float64]

# the commercial standard's zone: within 200 ft beyond the point (FAA-S-ACS-7B)
ZONE_M = 200.0 * FOOT_M
# how much a difference in direction counts against a difference in place, when the nearest planned point is looked for
_TRACK_WEIGHT_M = 600.0
# how much a difference in height counts against one in place: circles pass the same place more than once
_HEIGHT_WEIGHT_FACTOR = 0.5
# every so many integration steps is near enough for that
_EVERY = 4
# lower than this over the runway nothing is left to decide (break-off height of the default exercise)
_OVER_THE_RUNWAY_M = 500.0 * FOOT_M


@dataclass(frozen=True, slots=True)
class Windows:
    """Required and highest heights around one planned path; all arrays (n,), heights above the touchdown point."""

    practical: PracticalHeight
    air: Air
    path_x_m: Array
    path_y_m: Array
    path_track_rad: Array
    path_height_m: Array
    path_required_m: Array
    path_highest_m: Array
    path_time_s: Array

    def required_m(self, x_m: Array, y_m: Array, heading_rad: Array, bank_rad: Array, height_m: Array) -> Array:
        """Practical required height of states (n,); the straight glide to the aim point where established on final.

        Infinite where there is no way, NaN for NaN, past the 50 ft point on final and low over the runway.
        """
        x, y, heading, bank, height = np.broadcast_arrays(
            *(np.atleast_1d(np.asarray(value, dtype=float)) for value in (x_m, y_m, heading_rad, bank_rad, height_m))
        )
        required = self.practical.required_m(x, y, heading, bank, height)
        track = self._track_rad(heading, height)
        on_final = self.practical.is_established(x, y, track)
        required = np.where(on_final, self.practical.on_final_m(x), required)
        return np.where(self._is_over_the_runway(x, y, track, height), np.nan, required)

    def _is_over_the_runway(self, x_m: Array, y_m: Array, track_rad: Array, height_m: Array) -> NDArray[np.bool_]:
        """Low and lined up beyond the aim point: the glide is over, whatever is left is landed off."""
        aligned = np.cos(track_rad) > np.cos(ALIGNED_WITHIN_RAD)
        low = height_m < _OVER_THE_RUNWAY_M
        return np.asarray(low & aligned & (np.abs(y_m) <= OFFSET_AT_AIM_POINT_M) & (x_m >= self.practical.aim_x_m))

    def highest_m(self, x_m: Array, y_m: Array, heading_rad: Array, bank_rad: Array, height_m: Array) -> Array:
        """Highest height of states (n,) that can still be lost; NaN where required height is not known."""
        x, y, heading, height = (np.atleast_1d(np.asarray(v, dtype=float)) for v in (x_m, y_m, heading_rad, height_m))
        required = self.required_m(x, y, heading, bank_rad, height)
        nearest = self._nearest(x, y, self._track_rad(heading, height), height)
        return self.path_highest_m[nearest] + np.clip(required - self.path_required_m[nearest], -300.0, 300.0)

    def highest_of_plan_m(self, time_s: float) -> float:
        """Highest on the planned path itself at a time of the plan."""
        return float(np.interp(time_s, self.path_time_s, self.path_highest_m))

    def _track_rad(self, heading_rad: Array, height_m: Array) -> Array:
        wind_x, wind_y = self.air.wind_xy_mps(height_m)
        tas = self.practical.glide_tas_mps(height_m)
        return np.arctan2(tas * np.sin(heading_rad) + wind_y, tas * np.cos(heading_rad) + wind_x)

    def _nearest(self, x_m: Array, y_m: Array, track_rad: Array, height_m: Array) -> NDArray[np.int64]:
        """Index of the planned point nearest in place, direction and height to each state."""
        found = np.empty(x_m.shape, dtype=np.int64)
        for i in range(len(x_m)):
            off = 2.0 * np.sin(0.5 * (self.path_track_rad - track_rad[i])) * _TRACK_WEIGHT_M
            away = (self.path_x_m - x_m[i]) ** 2 + (self.path_y_m - y_m[i]) ** 2 + off**2
            away += (_HEIGHT_WEIGHT_FACTOR * (self.path_height_m - height_m[i])) ** 2
            found[i] = int(np.argmin(away))
        return found


def windows(ready: Bench, flight: GuidedFlight) -> Windows:
    """Windows around a planned flight from the high key to 50 ft on final."""
    path = flight.path
    practical = practical_height(ready.glide, ready.air, ready.limits, ready.aim_x_m, ready.fifty_foot_x_m)
    bare = Windows(
        practical,
        ready.air,
        path.x_m,
        path.y_m,
        path.track_rad,
        path.height_m,
        path.height_m,
        path.height_m,
        path.time_s,
    )
    some = slice(None, None, _EVERY)
    states = (path.x_m, path.y_m, path.heading_rad, path.bank_rad, path.height_m)
    required = bare.required_m(*(state[some] for state in states))
    highest = _as_flown(ready, flight, _highest_along(ready, flight))[some]
    return Windows(
        practical,
        ready.air,
        path.x_m[some],
        path.y_m[some],
        path.track_rad[some],
        path.height_m[some],
        required,
        highest,
        path.time_s[some],
    )


def _highest_along(ready: Bench, flight: GuidedFlight) -> Array:
    """Planned height plus what everything out would cost from there on, plus the zone beyond the point."""
    path, glide = flight.path, ready.glide
    parasite_mps = 0.5 / glide.best_ratio * (path.eas_mps / glide.best_eas_mps) ** 2 * path.tas_mps
    most = flight.extra_drag_factor
    for candidate in ready.exercise.airplane.configurations:
        if _is_everyday(candidate):
            allowed = path.eas_mps <= _limit_eas_mps(ready, candidate)
            most = np.maximum(most, np.where(allowed, candidate.extra_drag_factor, 0.0))
    extra_mps = parasite_mps * (most - flight.extra_drag_factor)
    steps = np.diff(path.time_s) * 0.5 * (extra_mps[1:] + extra_mps[:-1])
    still_to_come = np.concatenate([np.cumsum(steps[::-1])[::-1], [0.0]])
    slope = FIFTY_FEET_M / ready.flare.aim_point_from_fifty_foot_m
    return np.asarray(path.height_m + still_to_come + ZONE_M * slope)


def _as_flown(ready: Bench, flight: GuidedFlight, estimate_m: Array) -> Array:
    """The estimate put right by flights with everything out, from places along the glide; between them in a line.

    Wind, turns and the time gear, flap and speed take are then in it.
    """
    path = flight.path
    glides = np.isin(path.phase_index, [i for i, leg in enumerate(flight.legs) if _is_glide(ready, leg)])
    places = _flown_places(path.phase_index, glides)
    wrong_m = [_too_high_m(ready, flight, int(row), float(estimate_m[row])) for row in places]
    return np.asarray(estimate_m - np.interp(path.time_s, path.time_s[places], wrong_m))


def _flown_places(phase_index: NDArray[np.int64], glides: NDArray[np.bool_]) -> NDArray[np.int64]:
    """Rows highest is flown from: where each leg of the glide begins, its middle, and the glide's end."""
    rows = np.flatnonzero(glides)
    if not len(rows):
        return np.array([0])
    begins = rows[np.flatnonzero(np.diff(phase_index[rows], prepend=-1))]
    edges = np.append(begins, rows[-1])
    return np.unique(np.concatenate([edges, (edges[1:] + edges[:-1]) // 2]))


def _is_glide(ready: Bench, leg: Leg) -> bool:
    return leg.configuration == ready.limits.glide_configuration


def _too_high_m(ready: Bench, flight: GuidedFlight, row: int, height_m: float) -> float:
    """How much lower than this a flight with everything out must begin to touch down at the far edge of the zone.

    One flight tells: the estimate is near enough for the slope of the final to turn place into height.
    """
    path, first = flight.path, int(flight.path.phase_index[row])
    legs = tuple(
        replace(leg, configuration=_most_drag(ready, leg)) if _is_glide(ready, leg) else leg
        for leg in flight.legs[first:]
    )
    place = (path.x_m, path.y_m, path.heading_rad, path.eas_mps, path.bank_rad)
    x_m, y_m, heading_rad, eas_mps, bank_rad = (float(values[row]) for values in place)
    slope = FIFTY_FEET_M / ready.flare.aim_point_from_fifty_foot_m
    rows = ready.simulator.fly_rows(Start(x_m, y_m, height_m, heading_rad, eas_mps, bank_rad), legs)
    return (ready.touchdown_x_m(rows) - ZONE_M) * slope


def _most_drag(ready: Bench, leg: Leg) -> Configuration:
    """The configuration of most drag that the limits allow at the speed of a leg."""
    known = [each for each in ready.exercise.airplane.configurations if _is_everyday(each)]
    allowed = [each for each in known if leg.eas_mps <= _limit_eas_mps(ready, each)]
    return max([leg.configuration, *allowed], key=lambda each: each.extra_drag_factor)


def _is_everyday(configuration: Configuration) -> bool:
    return configuration.thrust_power_per_weight_mps == 0.0 and configuration.propeller is Propeller.COARSE


def _limit_eas_mps(ready: Bench, configuration: Configuration) -> float:
    """The least of the airplane's limits for what hangs out; an unknown limit does not bind."""
    limits = ready.exercise.airplane.limits
    bounds = [1e9]
    if configuration.gear is Gear.DOWN and limits.gear_ias_mps is not None:
        bounds.append(limits.gear_ias_mps)
    if configuration.flap is Flap.APPROACH and limits.approach_flap_ias_mps is not None:
        bounds.append(limits.approach_flap_ias_mps)
    if configuration.flap is Flap.FULL and limits.full_flap_ias_mps is not None:
        bounds.append(limits.full_flap_ias_mps)
    return min(bounds)


def gate_ias_mps(ready: Bench, eas_mps: float, height_m: float) -> float:
    """Indicated airspeed that belongs to an equivalent airspeed at a height above the touchdown point."""
    exercise = ready.exercise
    return ias_mps_from_eas_mps(
        exercise.airplane, eas_mps, exercise.weather.atmosphere, height_m + ready.air.base_above_field_m
    )
