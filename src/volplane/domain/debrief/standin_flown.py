"""How honest the stand-in was, and how the engine was treated, from recorded manifold pressure and engine speed.

Second by second the sink of the dead engine at the speed and bank flown is set beside that of the stand-in with the
power the recorder saw, both by the glide of the airplane and the model of engine and propeller. Which gear and flap
hung out is not recorded: the stand-in's own are taken until the throttle is closed on final, the landing configuration
from there. The file's own setting of the stand-in is taken at its word: there it sinks like the dead engine at best
glide. Without one the model stands alone, good to some three inches. Everything about the engine is advisory.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from volplane.domain.airplane.airplane import Airplane
from volplane.domain.airplane.engine_care import engine_care_findings, least_manifold_pressure_pa
from volplane.domain.airplane.powered_glide import PoweredGlide, StandInConditions, StandInPoint, powered_glide
from volplane.domain.airplane.thrust import AirState, driving_manifold_pressure_pa, powerplant
from volplane.domain.debrief.attempts import FoundAttempt
from volplane.domain.debrief.flight import Flight, on_grid
from volplane.domain.debrief.glide_found import FINAL, Span
from volplane.domain.debrief.in_hand import air_state
from volplane.domain.debrief.results import Outcome, StandInFlown, StandInPhase
from volplane.domain.debrief.wind import WindFound
from volplane.domain.exercise.exercise import Exercise
from volplane.domain.exercise.pilot_limits import gliding_configuration, landing_configuration
from volplane.domain.finding import Finding
from volplane.domain.glide.configuration import Configuration, Flap, Gear, Propeller
from volplane.domain.glide.defaults import idling_at_the_fine_stop
from volplane.domain.glide.turning import steady_turn
from volplane.domain.track.track import Track
from volplane.units import RPM_RADPS

Array = NDArray[np.float64]

# a governed engine speed in a training descent where none was recorded and the file has none (common practice, no
# source)
_USUAL_ENGINE_SPEED_RADPS = 2300.0 * RPM_RADPS
# the engine is looked at from so long before the exercise, and for a go-around to so long after it (ours)
_BEFORE_S, _AFTER_S = 180.0, 15.0
# sinks change slowly: every other second is near enough
_SOME = slice(None, None, 2)
# banks and speeds outside these are not compared: nothing steady is flown there
_STEEPEST_RAD = math.radians(60.0)
_SLOWEST_FACTOR, _FASTEST_FACTOR = 0.75, 1.5


@dataclass(frozen=True, slots=True)
class PowerRecorded:
    """The power channels of a recording as they were recorded, (n,); the engine speed None where it was not."""

    time_s: Array
    manifold_pressure_pa: Array
    engine_speed_radps: Array | None


@dataclass(frozen=True, slots=True)
class SinksCompared:
    """Sink of the dead engine and of the stand-in at the speeds and banks flown, every other second; arrays (n,), NaN
    unknown.

    `manifold_pressure_pa` as recorded, `is_idling` where the throttle was closed on final.
    """

    time_s: Array
    real_sink_mps: Array
    stand_in_sink_mps: Array
    manifold_pressure_pa: Array
    is_idling: NDArray[np.bool_]


def power_of(track: Track) -> PowerRecorded | None:
    """The power of a track; None where no manifold pressure was recorded."""
    pressure = track.manifold_pressure_pa
    if pressure is None or np.isfinite(pressure).sum() < 2:
        return None
    return PowerRecorded(track.time_s, pressure, track.engine_speed_radps)


def stand_in_configuration(airplane: Airplane) -> Configuration | None:
    """The configuration practice is flown in: that of the file's stand-in, else gear down and approach flap."""
    everyday = [
        each
        for each in airplane.configurations
        if each.propeller is Propeller.COARSE and each.thrust_power_per_weight_mps == 0.0
    ]
    if airplane.stand_in is not None:
        for each in everyday:
            if each.name == airplane.stand_in.configuration:
                return each
    return next((each for each in everyday if (each.gear, each.flap) == (Gear.DOWN, Flap.APPROACH)), None)


def sinks_compared(
    flight: Flight, wind: WindFound, exercise: Exercise, power: PowerRecorded, final_s: float
) -> SinksCompared | None:
    """The two sinks second by second over a stretch of glide; None where the airplane has no stand-in to compare."""
    powered = _powered(exercise, power, flight)
    time_s = flight.time_s[_SOME]
    pressure = on_grid(power.time_s, power.manifold_pressure_pa, time_s)
    if powered is None or pressure is None:
        return None
    engine = _engine_speed_radps(exercise.airplane, power, time_s)
    state = air_state(flight, wind)
    eas = (state.tas_mps / flight.tas_to_eas_ratio(flight.smoothed.height_m))[_SOME]
    banks = np.minimum(np.abs(state.bank_rad), _STEEPEST_RAD)[_SOME]
    heights = flight.smoothed.height_m[_SOME] + flight.base_above_field_m
    airs = zip(flight.atmosphere.pressure_pa(heights), flight.atmosphere.temperature_k(heights), strict=True)
    seconds = _Seconds(exercise, powered)
    rows = [
        seconds.sinks(float(p), float(n), float(v), float(b), AirState(float(air[0]), float(air[1])), now >= final_s)
        for p, n, v, b, air, now in zip(pressure, engine, eas, banks, airs, time_s, strict=True)
    ]
    columns = np.array(rows, dtype=float)
    return SinksCompared(time_s, columns[:, 0], columns[:, 1], pressure, columns[:, 2] > 0.5)


@dataclass(frozen=True, slots=True)
class _Seconds:
    """Both sinks of one second."""

    exercise: Exercise
    powered: PoweredGlide

    def sinks(
        self, pressure_pa: float, engine_radps: float, eas_mps: float, bank_rad: float, air: AirState, on_final: bool
    ) -> tuple[float, float, float]:
        """Sink of the dead engine, of the stand-in, and 1 where the throttle was closed on final."""
        weight_kg = self.exercise.weight_kg
        glide = self.powered.glide.at_weight(weight_kg)
        if not math.isfinite(pressure_pa + eas_mps + bank_rad):
            return math.nan, math.nan, 0.0
        eas = min(max(eas_mps, _SLOWEST_FACTOR * glide.best_eas_mps), _FASTEST_FACTOR * glide.best_eas_mps)

        def sink(configuration: Configuration) -> float:
            return steady_turn(glide, eas, bank_rad, configuration, air.density_kgpm3).sink_mps

        if on_final and self._is_closed(pressure_pa, engine_radps, air):
            landing = landing_configuration(self.exercise)
            return sink(landing), sink(idling_at_the_fine_stop(landing)), 1.0
        flown = self.powered.with_power(pressure_pa, engine_radps, eas, weight_kg, air)
        return sink(gliding_configuration(self.exercise)), sink(flown), 0.0

    def _is_closed(self, pressure_pa: float, engine_radps: float, air: AirState) -> bool:
        """Less than the engine needs to turn the propeller: the throttle is closed."""
        least_pa = self.exercise.airplane.limits.minimum_descent_manifold_pressure_pa
        return pressure_pa < (least_pa or driving_manifold_pressure_pa(self.powered.plant, engine_radps, air))


def stand_in_flown(sinks: SinksCompared, exercise: Exercise, spans: Sequence[Span], sd_mps: float) -> StandInFlown:
    """The honesty of the stand-in, phase by phase."""
    phases = [phase for span in spans if (phase := _phase(sinks, span)) is not None]
    configuration = stand_in_configuration(exercise.airplane)
    return StandInFlown("" if configuration is None else configuration.name, tuple(phases), sd_mps)


def _phase(sinks: SinksCompared, span: Span) -> StandInPhase | None:
    inside = (sinks.time_s >= span.start_s) & (sinks.time_s <= span.end_s) & np.isfinite(sinks.stand_in_sink_mps)
    if inside.sum() < 3:
        return None
    time = sinks.time_s[inside]
    error_m = float(np.trapezoid(sinks.stand_in_sink_mps[inside] - sinks.real_sink_mps[inside], time))
    return StandInPhase(
        phase=span.name,
        duration_s=float(time[-1] - time[0]),
        manifold_pressure_pa=float(sinks.manifold_pressure_pa[inside].mean()),
        real_sink_mps=float(sinks.real_sink_mps[inside].mean()),
        stand_in_sink_mps=float(sinks.stand_in_sink_mps[inside].mean()),
        height_error_m=error_m,
        is_engine_idling=span.name == FINAL and bool(sinks.is_idling[inside].mean() > 0.5),
    )


def sink_sd_mps(flight: Flight, exercise: Exercise, power: PowerRecorded) -> float:
    """How far the stand-in's sink may be off by the model, at best glide in the middle of the glide."""
    powered = _powered(exercise, power, flight)
    if powered is None:
        return math.nan
    middle_m = float(np.nanmedian(flight.smoothed.height_m)) + flight.base_above_field_m
    air = AirState(float(flight.atmosphere.pressure_pa(middle_m)), float(flight.atmosphere.temperature_k(middle_m)))
    pressure = on_grid(power.time_s, power.manifold_pressure_pa, flight.time_s)
    engine = float(np.median(_engine_speed_radps(exercise.airplane, power, flight.time_s)))
    best = powered.glide.at_weight(exercise.weight_kg).best_eas_mps
    mean_pa = math.nan if pressure is None else float(np.nanmedian(pressure))
    return powered.sink_sd_mps(mean_pa, engine, best, exercise.weight_kg, air)


def engine_care(flight: Flight, exercise: Exercise, power: PowerRecorded, found: FoundAttempt) -> tuple[Finding, ...]:
    """What stands out about the engine in flight: power changed fast, a propeller that may drive the engine."""
    last_s = found.event_s + (0.0 if found.outcome is Outcome.LANDED else _AFTER_S)
    about = (power.time_s >= found.start_s - _BEFORE_S) & (power.time_s <= last_s)
    time = power.time_s[about]
    engine = _engine_speed_radps(exercise.airplane, power, time)
    if len(time) < 2:
        return ()
    airplane = exercise.airplane
    air = AirState(
        float(flight.atmosphere.pressure_pa(0.5 * exercise.entry_height_m)),
        float(flight.atmosphere.temperature_k(0.5 * exercise.entry_height_m)),
    )
    least_pa = least_manifold_pressure_pa(
        powerplant(airplane.engine, airplane.maximum_weight_kg),
        float(np.median(engine)),
        air,
        airplane.limits.minimum_descent_manifold_pressure_pa,
    )
    return engine_care_findings(time, power.manifold_pressure_pa[about], engine, least_pa)


def _powered(exercise: Exercise, power: PowerRecorded, flight: Flight) -> PoweredGlide | None:
    airplane = exercise.airplane
    configuration = stand_in_configuration(airplane)
    if configuration is None:
        return None
    plant = powerplant(airplane.engine, airplane.maximum_weight_kg)
    engine = float(np.median(_engine_speed_radps(airplane, power, flight.time_s)))
    height_m = flight.base_above_field_m + float(np.nanmedian(flight.smoothed.height_m))
    air = AirState(float(flight.atmosphere.pressure_pa(height_m)), float(flight.atmosphere.temperature_k(height_m)))
    altitude_m = flight.atmosphere.field_elevation_msl_m + height_m
    conditions = StandInConditions(exercise.weight_kg, engine, altitude_m, air)
    return powered_glide(
        airplane.glide, plant, configuration, _file_point(exercise, flight, configuration), conditions
    )[0]


def _file_point(exercise: Exercise, flight: Flight, configuration: Configuration) -> tuple[StandInPoint, ...]:
    """The setting of the airplane file taken at its word: at best glide it sinks there like the dead engine.

    Empty where the file has none for this configuration.
    """
    stated = exercise.airplane.stand_in
    if stated is None or stated.configuration != configuration.name:
        return ()
    height_m = stated.altitude_msl_m - flight.atmosphere.field_elevation_msl_m
    air = AirState(float(flight.atmosphere.pressure_pa(height_m)), float(flight.atmosphere.temperature_k(height_m)))
    glide = exercise.airplane.glide.at_weight(exercise.weight_kg)
    sink = steady_turn(glide, glide.best_eas_mps, 0.0, gliding_configuration(exercise), air.density_kgpm3).sink_mps
    return (
        StandInPoint(
            stated.manifold_pressure_pa, stated.engine_speed_radps, glide.best_eas_mps, sink, exercise.weight_kg, air
        ),
    )


def _engine_speed_radps(airplane: Airplane, power: PowerRecorded, time_s: Array) -> Array:
    """Engine speed at times (n,): as recorded, else the governed one of the airplane file, else the usual one."""
    recorded = on_grid(power.time_s, power.engine_speed_radps, time_s)
    governed = _USUAL_ENGINE_SPEED_RADPS if airplane.stand_in is None else airplane.stand_in.engine_speed_radps
    if recorded is None:
        return np.full(time_s.shape, governed)
    return np.where(np.isfinite(recorded), recorded, governed)
