"""The demo's recordings: lessons of invented trainees, flown by the program's own integrator and seen by a recorder.

The same seed gives the same bytes. The recorder's errors are ours: GPS positions off by a slow 3 m, altitudes by a slow
4 m and a quick 1 m, velocities by 0.1 m/s, airspeed by half a knot.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from enum import Enum

import numpy as np
from numpy.typing import NDArray

from volplane.domain.atmosphere.wind import WindProfile
from volplane.domain.exercise.exercise import Exercise
from volplane.domain.exercise.flying import bench
from volplane.domain.exercise.pilot_limits import frame_of
from volplane.domain.exercise.shape_search import solve_shape
from volplane.domain.exercise.speeds import ias_mps_from_cas_mps
from volplane.domain.exercise.trainee import FlownLesson, Habit, fly_lesson
from volplane.domain.geometry.angles import true_rad_from_runway_heading_rad
from volplane.domain.track.track import AltitudeSource, Track
from volplane.units import FOOT_M, INCH_OF_MERCURY_PA, KNOT_MPS, RPM_RADPS

Array = NDArray[np.float64]

_IDLE_MP_PA = 11.0 * INCH_OF_MERCURY_PA
_CLIMB_MP_PA = 24.0 * INCH_OF_MERCURY_PA
_LEVEL_MP_PA = 18.0 * INCH_OF_MERCURY_PA
_STAND_IN_MP_PA = 14.5 * INCH_OF_MERCURY_PA
_PROPELLER_RADPS = 2300.0 * RPM_RADPS


class Recorder(Enum):
    """What was on board: everything the panel knows, or a phone with position and height."""

    PANEL = "panel"
    POSITION = "position and speed over the ground"
    PHONE = "phone"


@dataclass(frozen=True, slots=True)
class DemoLesson:
    """A lesson of the demo: who, what was on board, and how it was flown.

    The air is the exercise's with its wind turned and scaled.
    """

    file_name: str
    trainee: str
    instructor: str
    note: str
    recorder: Recorder
    habit: Habit
    seed: int
    start_after_s: float
    wind_turned_rad: float = 0.0
    wind_factor: float = 1.0


DEMO_LESSONS = (
    DemoLesson(
        "high.csv",
        "Mara Quist",
        "Tobias Lund",
        "Panel recording: position, height, airspeed, heading and power.",
        Recorder.PANEL,
        Habit(entry_error_m=170.0 * FOOT_M, downwind_error_m=270.0 * FOOT_M),
        seed=2,
        start_after_s=0.0,
    ),
    DemoLesson(
        "low.csv",
        "Jorun Eide",
        "Tobias Lund",
        "Position, height and speed over the ground, no airspeed.",
        Recorder.POSITION,
        Habit(
            entry_error_m=-190.0 * FOOT_M,
            downwind_error_m=450.0 * FOOT_M,
            speed_error_mps=2.0 * KNOT_MPS,
            go_around_height_m=520.0 * FOOT_M,
        ),
        seed=22,
        start_after_s=1500.0,
    ),
    DemoLesson(
        "phone.gpx",
        "Mara Quist",
        "Tobias Lund",
        "Phone recording: position and height, no airspeed.",
        Recorder.PHONE,
        Habit(entry_error_m=30.0 * FOOT_M, downwind_error_m=-60.0 * FOOT_M, first_turn_factor=1.04),
        seed=1,
        start_after_s=3000.0,
        wind_turned_rad=math.radians(-8.0),
        wind_factor=1.3,
    ),
)


def demo_track(exercise: Exercise, lesson: DemoLesson) -> Track:
    """The recording of a lesson, one fix a second."""
    random = np.random.default_rng(lesson.seed)
    planned = solve_shape(exercise)
    ready = bench(_in_todays_air(exercise, lesson))
    flown = fly_lesson(ready, planned.shape, planned.entry_height_m, lesson.habit, random)
    return _recorded(exercise, lesson, flown, random)


def _in_todays_air(exercise: Exercise, lesson: DemoLesson) -> Exercise:
    wind: WindProfile = exercise.weather.wind.rotated(lesson.wind_turned_rad).scaled(lesson.wind_factor)
    return replace(exercise, weather=replace(exercise.weather, wind=wind))


def _recorded(exercise: Exercise, lesson: DemoLesson, flown: FlownLesson, random: np.random.Generator) -> Track:
    """What the recorder on board wrote down."""
    time_s = np.arange(0.0, math.floor(float(flown.time_s[-1])) + 1.0)

    def at(values: Array) -> Array:
        return np.asarray(np.interp(time_s, flown.time_s, values))

    count = len(time_s)
    x_m = at(flown.x_m) + _slow_error(random, count, 3.0, 60.0)
    y_m = at(flown.y_m) + _slow_error(random, count, 3.0, 60.0)
    latitude_deg, longitude_deg = frame_of(exercise).latitude_longitude_deg(x_m, y_m)
    height_m = at(flown.height_m)
    gps_m = exercise.ground_msl_m + height_m + _slow_error(random, count, 4.0, 100.0) + random.normal(0.0, 1.0, count)
    ground_mps = np.maximum(at(flown.ground_speed_mps) + random.normal(0.0, 0.1, count), 0.0)
    bearing = exercise.runway.bearing_true_rad
    track_true = np.array([true_rad_from_runway_heading_rad(float(track), bearing) for track in at(flown.track_rad)])
    bare = Track(
        start_unix_s=exercise.time_unix_s + lesson.start_after_s,
        time_s=time_s,
        latitude_deg=latitude_deg,
        longitude_deg=longitude_deg,
        altitude_m=gps_m,
        altitude_source=AltitudeSource.GPS,
    )
    if lesson.recorder is Recorder.PHONE:
        return bare
    moving = replace(bare, ground_speed_mps=ground_mps, track_true_rad=track_true)
    if lesson.recorder is Recorder.POSITION:
        return moving
    heading = np.array([true_rad_from_runway_heading_rad(float(angle), bearing) for angle in at(flown.heading_rad)])
    return replace(
        moving,
        ias_mps=_indicated(exercise, flown, time_s) + random.normal(0.0, 0.5 * KNOT_MPS, count),
        heading_true_rad=heading,
        manifold_pressure_pa=_manifold_pressure(exercise, flown, time_s),
        engine_speed_radps=np.full(count, _PROPELLER_RADPS),
    )


def _slow_error(random: np.random.Generator, count: int, sd_m: float, memory_s: float) -> Array:
    """A first-order Gauss-Markov error at one sample a second, (count,)."""
    keep = math.exp(-1.0 / memory_s)
    error = np.empty(count)
    value = float(random.standard_normal()) * sd_m
    for i in range(count):
        value = keep * value + math.sqrt(1.0 - keep * keep) * sd_m * float(random.standard_normal())
        error[i] = value
    return error


def _indicated(exercise: Exercise, flown: FlownLesson, time_s: Array) -> Array:
    """Indicated airspeed; equivalent and calibrated airspeed differ by less than the noise down here."""
    eas_mps = np.interp(time_s, flown.time_s, flown.eas_mps)
    return np.array([ias_mps_from_cas_mps(exercise.airplane, float(speed)) for speed in eas_mps])


def _manifold_pressure(exercise: Exercise, flown: FlownLesson, time_s: Array) -> Array:
    """What the gauge shows in each phase: level, stand-in creeping up with the pressure outside, idle, climb."""
    air = exercise.weather.atmosphere
    base_m = exercise.ground_msl_m - exercise.airfield.elevation_msl_m
    stand_in = exercise.airplane.stand_in
    set_pa = _STAND_IN_MP_PA if stand_in is None else stand_in.manifold_pressure_pa
    set_at_m = 0.0 if stand_in is None else stand_in.altitude_msl_m - exercise.airfield.elevation_msl_m
    height_m = np.maximum(flown.height_m + base_m, 0.0)
    creeping = set_pa * np.asarray(air.pressure_pa(height_m)) / float(air.pressure_pa(set_at_m))
    by_phase = {"set-up": _LEVEL_MP_PA, "go-around": _CLIMB_MP_PA, "roll-out": _IDLE_MP_PA}
    pressure = np.array(
        [
            _IDLE_MP_PA if phase.startswith("final") and phase != "final, clean" else by_phase.get(phase, creep)
            for phase, creep in zip(flown.phase, creeping, strict=True)
        ]
    )
    return np.asarray(np.interp(time_s, flown.time_s, pressure))
