"""Measurements of the hand-made airplane for tests of its pages: flown by the textbook, noise with a fixed seed."""

from __future__ import annotations

import math

import numpy as np

from volplane.domain.airplane.honesty import Landing, air_at, height_rows, honesty_rows
from volplane.domain.airplane.partial_glides import PartialGlide
from volplane.domain.airplane.powered_glide import StandInConditions, StandInPoint
from volplane.domain.airplane.stand_in import match
from volplane.domain.airplane.thrust import powerplant
from volplane.domain.atmosphere.refusals import LegsDoNotDetermineWind
from volplane.domain.exercise.exercise import Exercise
from volplane.domain.exercise.stand_in_flown import FlownExercise
from volplane.domain.finding import Finding, Severity
from volplane.services import calibrating, measuring
from volplane.services.measured_file import MeasuredFile, Untold
from volplane.services.standing_in import StandInAnswer
from volplane.units import kg_from_lb, m_from_ft, mps_from_fpm, mps_from_kt, pa_from_inhg

STAND_IN = "gear and approach flap"
POINTS = ((12.0, 1330.0), (14.0, 1180.0), (16.0, 990.0))


def stand_in_answer(exercise: Exercise, *, from_points: bool = False) -> StandInAnswer:
    """The stand-in of the hand-made airplane, by the model or from three settings flown."""
    airplane, column = exercise.airplane, exercise.weather.atmosphere
    stated = airplane.stand_in
    assert stated is not None
    air = air_at(column, stated.altitude_msl_m)
    conditions = StandInConditions(exercise.weight_kg, stated.engine_speed_radps, stated.altitude_msl_m, air)
    speed = airplane.glide.at_weight(exercise.weight_kg).best_eas_mps
    flown = tuple(
        StandInPoint(
            pa_from_inhg(mp), stated.engine_speed_radps, speed, mps_from_fpm(fpm), exercise.weight_kg, air, line
        )
        for line, (mp, fpm) in enumerate(POINTS, start=2)
    )
    plant = powerplant(airplane.engine, airplane.maximum_weight_kg)
    configuration = airplane.configuration(STAND_IN)
    found = match(airplane.glide, plant, configuration, flown if from_points else (), conditions)
    stall = airplane.stall_clean_at_mps(exercise.weight_kg)
    landing = Landing(
        airplane.approach_ias_mps, airplane.configuration("landing"), airplane.stall_landing_at_mps(exercise.weight_kg)
    )
    return StandInAnswer(
        exercise,
        configuration,
        found,
        honesty_rows(found, stall, landing),
        height_rows(found, column, tuple(m_from_ft(feet) for feet in (1000.0, 2500.0, 3500.0))),
        (),
        (FlownExercise(0.0, (), m_from_ft(70.0), m_from_ft(20.0)),),
        (),
        mps_from_fpm(1090.0),
        (Finding("limit-unknown", Severity.NOTE, {"what": "gear"}),),
    )


def glides(exercise: Exercise) -> list[PartialGlide]:
    """Twenty glides of 9.6 to 1 in nearly smooth air, and one that climbs."""
    noise = np.random.default_rng(11).normal(0.0, 0.05, 20)
    flown = []
    for line, kt in enumerate([80, 86, 92, 98, 104, 110, 116, 124, 132, 140] * 2):
        part = kt / 104.0
        drag = (part**2 + part**-2) / (2.0 * 9.6)
        sink = mps_from_kt(kt) * math.sin(math.atan(drag)) + float(noise[line])
        flown.append(_glide(f"line {line + 2}", kt, sink))
    return [*flown, _glide("line 22", 100, -1.0)]


def _glide(place: str, kt: float, sink_mps: float) -> PartialGlide:
    # heights true and air of sea-level density nearly: nothing to reduce but the weight
    return PartialGlide(place, mps_from_kt(kt), sink_mps, 120.0, 0.0, 288.15, kg_from_lb(3350.0), False)


def legs() -> list[dict[str, float]]:
    """Four legs at each of three speeds in 15 kt from 300 degrees, the dial reading 2 kt too little."""
    rows = []
    wind_east, wind_north = mps_from_kt(15.0 * math.sin(math.radians(120.0))), mps_from_kt(-7.5)
    for kias in (80.0, 105.0, 130.0):
        for heading in (10.0, 100.0, 190.0, 280.0):
            east = mps_from_kt(kias + 2.0) * math.sin(math.radians(heading)) + wind_east
            north = mps_from_kt(kias + 2.0) * math.cos(math.radians(heading)) + wind_north
            rows.append(
                {
                    "speed_kias": mps_from_kt(kias),
                    "ground_speed_kt": math.hypot(east, north),
                    "track_true_deg": math.atan2(east, north) % (2.0 * math.pi),
                    "pressure_altitude_ft": 0.0,
                    "temperature_degc": 288.15,
                }
            )
    return rows


def measured_file(exercise: Exercise, kind: str) -> MeasuredFile:
    """What the file of that kind tells: "glides", "legs", "settings", or a recording with glides and no legs."""
    airplane = exercise.airplane
    if kind == "settings":
        return MeasuredFile(airplane, stand_in=stand_in_answer(exercise, from_points=True))
    if kind == "legs":
        return MeasuredFile(airplane, airspeed=calibrating.calibrate_rows(legs()))
    measured = measuring.measure(airplane, glides(exercise))
    if kind == "glides":
        return MeasuredFile(airplane, glide=measured)
    no_legs = LegsDoNotDetermineWind("nothing straight, level and steady for 20 s was flown", 0)
    return MeasuredFile(airplane, glide=measured, untold=(Untold("airspeed", no_legs),))
