"""The simulation, its autopilot and its recorder do what the checks against them take for granted."""

from __future__ import annotations

import functools
import math
import re

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic

from tests.architecture.source import repository_files
from tests.simulator import described, simulation
from tests.simulator.flight import Flight, Truth
from tests.simulator.lesson import wind_by_height
from tests.simulator.recorder import Recorder
from tests.simulator.simulation import SimulatedAir, Simulation, Start
from volplane.domain.atmosphere.atmosphere import Atmosphere
from volplane.domain.track.track import AltitudeSource
from volplane.units import KNOT_MPS

WIND = ((0.0, 200.0, 10.0), (6000.0, 260.0, 30.0))
WARM = SimulatedAir(wind_by_height(described.field(), WIND), warmer_k=12.0, sea_level_pressure_pa=100200.0)


@functools.cache
def _straight_and_turning() -> Truth:
    flight = Flight(Simulation(Start(altitude_msl_m=1800.0, cas_mps=85.0 * KNOT_MPS), WARM))
    flight.fly("straight", 70.0, cas_mps=85.0 * KNOT_MPS)
    flight.fly("turn", 50.0, cas_mps=85.0 * KNOT_MPS, bank_rad=math.radians(-30.0))
    flight.fly("climb", 40.0, cas_mps=85.0 * KNOT_MPS, throttle=1.0)
    return flight.truth()


def test_the_airplane_of_the_simulation_is_named_in_one_place() -> None:
    name = re.compile(rb"\b" + simulation.AIRPLANE_ID.encode() + rb"\b")
    found = [
        (path.name, line) for path in repository_files() for line in path.read_bytes().splitlines() if name.search(line)
    ]
    assert found == [("simulation.py", f'AIRPLANE_ID = "{simulation.AIRPLANE_ID}"'.encode())]


def test_the_same_flight_twice_is_the_same_bit_for_bit() -> None:
    def flown() -> np.ndarray:
        flight = Flight(Simulation(air=WARM))
        flight.fly("glide", 20.0, cas_mps=85.0 * KNOT_MPS, bank_rad=0.3)
        return flight.truth().altitude_msl_m

    assert np.array_equal(flown(), flown())


def test_the_autopilot_holds_speed_and_bank_without_slipping() -> None:
    for leg, bank_deg in (("straight", 0.0), ("turn", -30.0)):
        part = _straight_and_turning().of_leg(leg, 35.0)
        assert np.abs(part.cas_mps / KNOT_MPS - 85.0).max() < 0.5
        assert np.abs(np.degrees(part.bank_rad) - bank_deg).max() < 0.3
        assert np.abs(np.degrees(part.sideslip_rad)).max() < 0.3


def test_ground_velocity_is_airspeed_and_wind_together() -> None:
    part = _straight_and_turning().of_leg("turn", 20.0)
    wind = np.array([WARM.motion(altitude, 0.0)[:2] for altitude in part.altitude_msl_m])
    through_air = np.hypot(np.hypot(part.north_mps - wind[:, 0], part.east_mps - wind[:, 1]), part.climb_mps)
    assert np.abs(through_air - part.tas_mps).max() < 0.1


def test_the_simulated_air_is_the_column_an_instructor_would_describe() -> None:
    truth, field = _straight_and_turning(), described.field()
    exercise = described.exercise(WARM)
    air: Atmosphere = exercise.weather.atmosphere
    above = truth.altitude_msl_m - field.elevation_m
    # geopotential against geometric height is half a metre up here
    assert np.abs(air.pressure_altitude_m(above) - truth.pressure_altitude_m).max() < 2.0
    assert np.abs(air.temperature_k(above) - truth.temperature_k).max() < 0.05
    assert np.abs(air.tas_mps_from_cas_mps(truth.cas_mps, above) - truth.tas_mps).max() < 0.03


def test_the_engine_idles_in_the_glide_and_pulls_in_the_climb() -> None:
    truth = _straight_and_turning()
    glide, climb = truth.of_leg("straight", 35.0), truth.of_leg("climb", 20.0)
    weight_n = glide.weight_kg[0] * 9.80665
    assert np.abs(glide.thrust_n).max() < 0.002 * weight_n
    assert climb.thrust_n.min() > 0.08 * weight_n
    assert climb.climb_mps.min() > 1.0


def test_the_map_of_the_field_agrees_with_geodesics() -> None:
    field = described.field()
    for x_m, y_m in ((-2500.0, -370.0), (700.0, 1200.0), (-3000.0, 900.0)):
        latitude_deg, longitude_deg = field.latitude_longitude_deg(x_m, y_m)
        line = Geodesic.WGS84.Inverse(field.latitude_deg, field.longitude_deg, latitude_deg, longitude_deg)
        assert line["s12"] == pytest.approx(math.hypot(x_m, y_m), abs=1.0)
        bearing = math.degrees(field.bearing_rad - math.atan2(y_m, x_m))
        assert math.remainder(line["azi1"] - bearing, 360.0) == pytest.approx(0.0, abs=0.03)


def test_a_perfect_recorder_writes_down_the_truth_and_an_ordinary_one_errs_as_it_says() -> None:
    truth = _straight_and_turning()
    perfect, ordinary = Recorder(error_factor=0.0).track(truth), Recorder(seed=3).track(truth)
    assert perfect.altitude_m is not None
    assert ordinary.altitude_m is not None
    assert ordinary.ias_mps is not None
    assert np.array_equal(perfect.latitude_deg, truth.latitude_deg)
    assert np.array_equal(perfect.altitude_m, truth.altitude_msl_m)
    assert 0.2 < np.std(ordinary.ias_mps - truth.cas_mps) / (0.5 * KNOT_MPS) < 2.0
    assert 0.5 < np.std(ordinary.altitude_m - truth.altitude_msl_m) < 8.0


def test_a_recorder_with_holes_leaves_out_those_fixes_only() -> None:
    truth = _straight_and_turning()
    track = Recorder(AltitudeSource.PRESSURE, dropouts=((30.0, 42.0), (100.0, 101.0))).track(truth)
    missing = set(range(len(truth.time_s))) - set(np.round(track.time_s).astype(int).tolist())
    assert missing == {*range(30, 43), 100, 101}
