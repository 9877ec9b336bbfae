"""The glide through the air that was flown, by phase: how far for how much height, speed given back or taken put right.

In the moving air the airplane trades height h, kinetic energy of its airspeed V, and the work of a wind that changes on
the way:  sink = -(h' + V V'/g + (V/g) u . w'),  u the direction of flight, w the wind (textbook energy equation in an
accelerated frame; the last term is the inertia in a wind gradient). Integrated over a phase only its ends count for the
first two terms, so that scatter averages out.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from volplane.domain.debrief.flight import Flight
from volplane.domain.debrief.in_hand import AirState, air_state
from volplane.domain.debrief.results import GlideEstimate, PhaseGlide
from volplane.domain.debrief.wind import DRIFT_SD_MPS, WANDER_SD_MPS, WindFound

Array = NDArray[np.float64]

_G = 9.80665
# vertical air of 1 ft/s that lasts half a minute: what a quiet day does to a glide (METHODS of this project, "Pilots")
AIR_RISES_SD_MPS, AIR_RISES_S = 0.3, 30.0
SHORTEST_PHASE_S = 8.0
HALF_TURN, DOWNWIND, TURN_TO_BASE, FINAL = "half turn", "downwind", "turn to base", "final"


@dataclass(frozen=True, slots=True)
class Span:
    """A phase of the glide from one time to another."""

    name: str
    start_s: float
    end_s: float


def glide_found(flight: Flight, wind: WindFound, spans: Sequence[Span]) -> GlideEstimate | None:
    """The glide over all spans together and over each one long enough; None when none is."""
    state = air_state(flight, wind)
    long_enough = [span for span in spans if span.end_s - span.start_s >= SHORTEST_PHASE_S]
    found = [phase for span in long_enough if (phase := _phase(flight, wind, state, span)) is not None]
    if not found:
        return None
    # the final is flown in another configuration, and height is lost there on purpose
    gliding = [span for span in spans if span.name != FINAL] or list(spans)
    whole = _phase(flight, wind, state, Span("", gliding[0].start_s, gliding[-1].end_s))
    if whole is None:
        return None
    return GlideEstimate(whole.ratio, whole.ratio_sd, whole.sink_mps, whole.cas_mps, tuple(found))


def sink_through_air_mps(flight: Flight, state: AirState) -> Array:
    """Energy-corrected rate of sink each second, (n,)."""
    time = flight.time_s
    trade = state.tas_mps * np.gradient(state.tas_mps, time) / _G
    gradient = np.cos(state.heading_rad) * np.gradient(state.wind_x_mps, time)
    gradient += np.sin(state.heading_rad) * np.gradient(state.wind_y_mps, time)
    return np.asarray(-(flight.smoothed.climb_mps + trade + state.tas_mps / _G * gradient))


def _phase(flight: Flight, wind: WindFound, state: AirState, span: Span) -> PhaseGlide | None:
    inside = (flight.time_s >= span.start_s - 0.5) & (flight.time_s <= span.end_s + 0.5)
    inside &= np.isfinite(flight.smoothed.height_m)
    if inside.sum() < SHORTEST_PHASE_S:
        return None
    time = flight.time_s[inside]
    height, tas = flight.smoothed.height_m[inside], state.tas_mps[inside]
    seconds = float(time[-1] - time[0])
    level = np.sqrt(np.maximum(tas**2 - flight.smoothed.climb_mps[inside] ** 2, 1.0))
    distance_m = float(np.trapezoid(level, time))
    first, last = _end_speed(tas), _end_speed(tas[::-1])
    along = np.cos(state.heading_rad[inside]) * np.gradient(state.wind_x_mps[inside], time)
    along += np.sin(state.heading_rad[inside]) * np.gradient(state.wind_y_mps[inside], time)
    work_m = float(np.trapezoid(tas * along, time)) / _G
    lost_m = float(height[0] - height[-1]) + (first**2 - last**2) / (2.0 * _G) - work_m
    if not lost_m > 0.05 * seconds:
        return None
    ratio = distance_m / lost_m
    lost_sd_m = _lost_sd_m(flight, inside, first, last, seconds)
    speed_sd = float(wind.sd_at_mps(np.array([height.mean()]))[0]) / float(tas.mean())
    return PhaseGlide(
        phase=span.name,
        ratio=ratio,
        ratio_sd=ratio * math.hypot(lost_sd_m / lost_m, speed_sd),
        sink_mps=lost_m / seconds,
        cas_mps=_mean_cas(flight, inside),
    )


def _end_speed(tas_mps: Array) -> float:
    """Airspeed at the start of a stretch: mean of its first seconds."""
    return float(np.mean(tas_mps[:5]))


def _lost_sd_m(flight: Flight, inside: NDArray[np.bool_], first_mps: float, last_mps: float, seconds: float) -> float:
    scatter = flight.smoothed.height_sd_m[inside]
    slow = flight.smoothed.height_slow_sd_m[inside]
    heights = math.hypot(float(scatter[0]), float(scatter[-1]))
    wander = abs(float(slow[-1]) - float(slow[0])) + 0.01 * seconds
    # airspeed at the ends comes from the wind when it was not recorded, and wanders against it
    speed_sd = math.hypot(WANDER_SD_MPS, DRIFT_SD_MPS) * (0.3 if flight.recorded.tas_mps is None else 0.15)
    speeds = speed_sd * math.hypot(first_mps, last_mps) / _G
    air = AIR_RISES_SD_MPS * math.sqrt(2.0 * AIR_RISES_S * seconds)
    return math.hypot(heights, wander, speeds, air)


def _mean_cas(flight: Flight, inside: NDArray[np.bool_]) -> float | None:
    if flight.recorded.cas_mps is None:
        return None
    known = flight.recorded.cas_mps[inside]
    known = known[np.isfinite(known)]
    return float(known.mean()) if len(known) else None
