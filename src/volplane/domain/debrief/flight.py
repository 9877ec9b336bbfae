"""A recording prepared for its debrief: smoothed in the frame of the runway flown, with what was recorded beside it."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from volplane.domain.atmosphere.atmosphere import Atmosphere
from volplane.domain.debrief.on_ground import on_ground
from volplane.domain.exercise.exercise import Exercise
from volplane.domain.exercise.pilot_limits import frame_of
from volplane.domain.track.heights import heights_above_touchdown
from volplane.domain.track.smoothing import SmoothedFlight, smooth
from volplane.domain.track.track import Track

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

# farther than this from the touchdown point nothing of an exercise happens
NEARBY_M = 20_000.0
# an exercise is looked at with so much of the flight before and after it
BEFORE_S, AFTER_S = 120.0, 60.0


@dataclass(frozen=True, slots=True)
class Recorded:
    """Channels a recorder may have kept, on the flight's grid of seconds (n,); None where it did not.

    `cas_mps` is the indicated airspeed freed of the airplane's position error, `bank_rad` positive right wing down,
    `heading_rad` the air heading in the runway frame, unwrapped. The engine's channels are as the track has them.
    """

    cas_mps: Array | None = None
    tas_mps: Array | None = None
    heading_rad: Array | None = None
    bank_rad: Array | None = None
    manifold_pressure_pa: Array | None = None
    engine_speed_radps: Array | None = None

    def between(self, inside: Mask) -> Recorded:
        """The same channels at some of the seconds."""
        return Recorded(*(_picked(getattr(self, name), inside) for name in Recorded.__dataclass_fields__))


@dataclass(frozen=True, slots=True)
class Flight:
    """A smoothed recording in the runway frame, the air it was flown in, and the correction made to its heights.

    `base_above_field_m` is the touchdown point's height (or the practice floor's) over the field. `notes` are sentences
    on what was found out about the altitudes.
    """

    smoothed: SmoothedFlight
    recorded: Recorded
    atmosphere: Atmosphere
    base_above_field_m: float
    bearing_true_rad: float
    altitude_correction_m: float
    is_anchored: bool
    notes: tuple[str, ...] = ()

    @property
    def time_s(self) -> Array:
        """Seconds since the track's start, (n,)."""
        return self.smoothed.time_s

    def between(self, start_s: float, end_s: float) -> Flight:
        """The part of the flight from one time to another, both included."""
        inside = (self.time_s >= start_s - 1e-9) & (self.time_s <= end_s + 1e-9)
        return replace(self, smoothed=self.smoothed.between(start_s, end_s), recorded=self.recorded.between(inside))

    def tas_to_eas_ratio(self, height_m: Array) -> Array:
        """True airspeed in parts of the equivalent one at heights above the touchdown point, (n,) to (n,)."""
        return np.asarray(1.0 / np.sqrt(self.atmosphere.density_ratio(height_m + self.base_above_field_m)))


def prepared(
    track: Track, exercise: Exercise, atmosphere: Atmosphere, around: tuple[float, float, float] | None = None
) -> Flight | None:
    """The flight of a cleaned track about the exercise's runway; None if it never came near.

    `around` are start, event and end of an exercise: the flight is then prepared from a little before to a little after
    it, and of several times on the ground the one that tells most about the event anchors the heights.
    """
    x_m, y_m = frame_of(exercise).xy_m(track.latitude_deg, track.longitude_deg)
    near = np.flatnonzero(np.hypot(x_m, y_m) < NEARBY_M)
    if len(near) < 2:
        return None
    part = slice(int(near[0]), int(near[-1]) + 1)
    if around is not None:
        first, after = np.searchsorted(track.time_s, (around[0] - BEFORE_S, around[2] + AFTER_S))
        part = slice(max(part.start, int(first)), min(part.stop, int(after)))
        if part.stop - part.start < 2:
            return None
    base_m = exercise.ground_msl_m - atmosphere.field_elevation_msl_m
    wheels = on_ground(track, x_m, y_m, exercise, atmosphere.field_elevation_msl_m)
    heights = heights_above_touchdown(
        track, atmosphere, exercise.ground_msl_m, wheels, None if around is None else around[1]
    )
    velocity_x, velocity_y = _velocity(track, exercise.runway.bearing_true_rad)
    smoothed = smooth(
        track.time_s[part],
        x_m[part],
        y_m[part],
        None if heights is None else heights.height_m[part],
        None if heights is None else heights.slow_sd_m[part],
        None if velocity_x is None else velocity_x[part],
        None if velocity_y is None else velocity_y[part],
        track.position_sd_m,
    )
    return Flight(
        smoothed,
        _recorded(track, smoothed, exercise, atmosphere, base_m),
        atmosphere,
        base_m,
        exercise.runway.bearing_true_rad,
        0.0 if heights is None else heights.correction_m,
        heights is not None and heights.is_anchored,
        () if heights is None else heights.notes,
    )


def _velocity(track: Track, bearing_true_rad: float) -> tuple[Array | None, Array | None]:
    """Recorded ground velocity in the runway frame, where speed and track were both recorded."""
    if track.ground_speed_mps is None or track.track_true_rad is None:
        return None, None
    angle = bearing_true_rad - track.track_true_rad
    return track.ground_speed_mps * np.cos(angle), track.ground_speed_mps * np.sin(angle)


def _recorded(
    track: Track, smoothed: SmoothedFlight, exercise: Exercise, atmosphere: Atmosphere, base_m: float
) -> Recorded:
    grid_s = smoothed.time_s
    cas = None
    tas = on_grid(track.time_s, track.tas_mps, grid_s)
    ias = on_grid(track.time_s, track.ias_mps, grid_s)
    height = np.nan_to_num(smoothed.height_m, nan=0.0) + base_m
    if ias is not None:
        cas = np.maximum(calibrated_mps(ias, exercise.airplane.airspeed_correction), 0.0)
        tas = np.asarray(atmosphere.tas_mps_from_cas_mps(cas, height)) if tas is None else tas
    elif tas is not None:
        cas = np.asarray(atmosphere.cas_mps_from_tas_mps(np.maximum(tas, 0.0), height))
    heading = None
    if track.heading_true_rad is not None:
        known = np.isfinite(track.heading_true_rad)
        if known.sum() >= 2:
            turned = np.unwrap(exercise.runway.bearing_true_rad - track.heading_true_rad[known])
            heading = np.interp(grid_s, track.time_s[known], turned)
    others = (track.bank_rad, track.manifold_pressure_pa, track.engine_speed_radps)
    return Recorded(cas, tas, heading, *(on_grid(track.time_s, channel, grid_s) for channel in others))


def on_grid(time_s: Array, channel: Array | None, grid_s: Array) -> Array | None:
    """A recorded channel (n,) on the grid (m,), linear between samples; None if there is none or almost none of it."""
    if channel is None:
        return None
    known = np.isfinite(channel)
    if known.sum() < 2:
        return None
    return np.interp(grid_s, time_s[known], channel[known], left=math.nan, right=math.nan)


def calibrated_mps(ias_mps: Array, table: tuple[tuple[float, float], ...]) -> Array:
    """Calibrated airspeed of indicated ones by the airplane's table; the correction at its ends is kept beyond them."""
    if not table:
        return ias_mps
    indicated = np.array([pair[0] for pair in table])
    correction = np.array([pair[1] - pair[0] for pair in table])
    return np.asarray(ias_mps + np.interp(ias_mps, indicated, correction))


def _picked(channel: Array | None, inside: Mask) -> Array | None:
    return None if channel is None else channel[inside]
