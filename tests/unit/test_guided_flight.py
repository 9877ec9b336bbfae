"""The guided flight against relations and integrators that share no code with it."""

from __future__ import annotations

import math
import os
import pathlib
import subprocess
import sys

import numpy as np
import pytest

from tests.exercises import AIRPLANE, weather_of, wind_of
from volplane.domain.atmosphere.wind import WindProfile
from volplane.domain.glide.configuration import CLEAN, Configuration
from volplane.domain.glide.flight_path import FlightPath
from volplane.domain.glide.guided_flight import Air, Leg, LegKind, Simulator, Start, crab_heading_rad
from volplane.domain.glide.turning import steady_turn
from volplane.units import kg_from_lb, m_from_ft, mps_from_kt

GLIDE = AIRPLANE.glide.at_weight(kg_from_lb(3350.0))
EAS = GLIDE.best_eas_mps
FAR = 1e6
CALM = WindProfile.calm()


def simulator_in(wind: WindProfile, bearing_rad: float = 0.0) -> Simulator:
    weather = weather_of(wind)
    return Simulator(GLIDE, Air(weather.atmosphere, wind, bearing_rad))


def line(end_time_s: float, track_rad: float = 0.0, configuration: Configuration = CLEAN) -> Leg:
    return Leg("line", LegKind.LINE, track_rad, EAS, configuration, 0.8, x_m=FAR, end_time_s=end_time_s)


def turn(bank_rad: float, end_time_s: float) -> Leg:
    return Leg("turn", LegKind.TURN, 3.0, EAS, CLEAN, 1.0, bank_rad=bank_rad, end_time_s=end_time_s)


def _energy_height_lost_m(path: FlightPath) -> float:
    """Height lost plus height of speed lost: at a constant equivalent airspeed the true one falls on the way down."""
    energy_m = path.height_m + path.tas_mps**2 / (2.0 * 9.80665)
    return float(energy_m[0] - energy_m[-1])


def test_a_straight_glide_sinks_as_the_exact_straight_glide_does() -> None:
    simulator = simulator_in(CALM)
    flight = simulator.fly(Start(0.0, 0.0, 600.0, 0.0, EAS), (line(60.0),))
    path = flight.path
    middle = float(np.interp(30.0, path.time_s, path.height_m))
    density = float(simulator.air.atmosphere.density_kgpm3(middle))
    expected = steady_turn(GLIDE, EAS, 0.0, CLEAN, density).sink_mps
    assert _energy_height_lost_m(path) / path.time_s[-1] == pytest.approx(expected, rel=0.002)


@pytest.mark.parametrize("bank_deg", [15.0, 30.0, 45.0])
def test_a_turn_at_constant_bank_loses_what_the_exact_helix_loses(bank_deg: float) -> None:
    simulator = simulator_in(CALM)
    bank = math.radians(bank_deg)
    start = Start(0.0, 0.0, 800.0, 0.0, EAS, -bank)
    path = simulator.fly(start, (turn(bank, 40.0),)).path
    density = float(simulator.air.atmosphere.density_kgpm3(float(path.height_m.mean())))
    expected = steady_turn(GLIDE, EAS, bank, CLEAN, density)
    turned = float(path.heading_rad[-1] - path.heading_rad[0])
    assert turned / path.time_s[-1] == pytest.approx(expected.turn_rate_radps, rel=0.004)
    assert _energy_height_lost_m(path) == pytest.approx(turned * expected.height_per_radian_m, rel=0.004)


def test_a_steady_wind_carries_the_whole_flight_and_changes_nothing_else() -> None:
    wind = WindProfile.uniform(math.radians(300.0), mps_from_kt(20.0))
    legs = (turn(math.radians(30.0), 20.0),)
    start = Start(0.0, 0.0, 900.0, 0.3, EAS, -math.radians(30.0))
    still = simulator_in(CALM).fly(start, legs).path
    windy_simulator = simulator_in(wind)
    windy = windy_simulator.fly(start, legs).path
    wind_x, wind_y = (float(component) for component in windy_simulator.air.wind_xy_mps(500.0))
    np.testing.assert_allclose(windy.height_m, still.height_m, atol=1e-9)
    np.testing.assert_allclose(windy.x_m, still.x_m + wind_x * still.time_s, atol=1e-6)
    np.testing.assert_allclose(windy.y_m, still.y_m + wind_y * still.time_s, atol=1e-6)


def test_half_the_step_moves_the_end_of_a_guided_flight_by_centimetres(monkeypatch: pytest.MonkeyPatch) -> None:
    simulator = simulator_in(wind_of((0.0, 240.0, 8.0), (3000.0, 270.0, 18.0)), math.radians(238.4))
    radius = 900.0
    legs = (
        Leg("arc", LegKind.ARC, math.pi, EAS, CLEAN, 0.8, x_m=0.0, y_m=radius, radius_m=radius),
        Leg("line", LegKind.LINE, math.pi, EAS, CLEAN, 0.8, x_m=-1500.0, y_m=2.0 * radius),
    )
    start = Start(0.0, 0.0, 800.0, 0.1, EAS)
    coarse = simulator.fly_rows(start, legs)[-1]
    monkeypatch.setattr("volplane.domain.glide.guided_flight.STEP_S", 0.125)
    fine = simulator.fly_rows(start, legs)[-1]
    assert abs(coarse[3] - fine[3]) < 0.1
    assert math.hypot(coarse[1] - fine[1], coarse[2] - fine[2]) < 0.2


def test_a_glide_into_a_wind_gradient_agrees_with_an_adaptive_integrator_of_the_same_mechanics() -> None:
    """Independent code for the same equations: solve_ivp on x, height and airspeed, wings level, wind along x."""
    from scipy.integrate import solve_ivp

    wind = WindProfile.from_levels([(0.0, math.pi, mps_from_kt(25.0)), (900.0, math.pi, mps_from_kt(5.0))])
    weather = weather_of(wind)
    simulator = simulator_in(wind, math.pi)  # landing direction south is into the wind from the south

    def rates(_time: float, state: np.ndarray) -> list[float]:
        _, height, speed = state
        density = float(weather.atmosphere.density_kgpm3(height))
        eas = speed * math.sqrt(density / 1.225)
        _, north = wind.components_mps(height)
        low, high = (float(wind.components_mps(height + off)[1]) for off in (-0.5, 0.5))
        along, slope = -float(north), -(high - low)
        wanted = EAS / math.sqrt(density / 1.225)
        speed_rate = max(min((wanted - speed) / 4.0, 0.06 * 9.80665), -0.06 * 9.80665)
        sine, cosine = 0.0, 1.0
        for _ in range(4):
            drag = GLIDE.drag_to_weight(eas, cosine, CLEAN)
            sine = (-drag - speed_rate / 9.80665) / (1.0 + speed / 9.80665 * cosine * slope)
            cosine = math.sqrt(1.0 - sine * sine)
        return [speed * cosine + along, speed * sine, speed_rate]

    begin = simulator.air.tas_mps_from_eas_mps(EAS, 800.0)
    answer = solve_ivp(rates, (0.0, 60.0), [0.0, 800.0, begin], rtol=1e-9, atol=1e-9, max_step=0.5)
    path = simulator.fly(Start(0.0, 0.0, 800.0, 0.0, EAS), (line(60.0),)).path
    assert path.x_m[-1] == pytest.approx(answer.y[0, -1], abs=0.2)
    assert path.height_m[-1] == pytest.approx(answer.y[1, -1], abs=0.1)


def test_an_even_circle_over_the_ground_stays_a_circle_in_wind() -> None:
    wind = WindProfile.uniform(math.radians(90.0), mps_from_kt(18.0))
    simulator = simulator_in(wind)
    radius = 1000.0
    heading = crab_heading_rad(0.0, EAS * 1.04, *(float(part) for part in simulator.air.wind_xy_mps(500.0)))
    circle = Leg("arc", LegKind.ARC, math.pi, EAS, CLEAN, 0.8, x_m=0.0, y_m=radius, radius_m=radius)
    path = simulator.fly(Start(0.0, 0.0, 900.0, heading, EAS), (circle,)).path
    away = np.hypot(path.x_m, path.y_m - radius) - radius
    assert np.abs(away).max() < 15.0
    assert np.degrees(path.bank_rad.max() - path.bank_rad.min()) > 5.0


def test_a_flight_ends_at_its_end_height_to_the_millimetre() -> None:
    leg = Leg("down", LegKind.LINE, 0.0, EAS, CLEAN, 0.5, x_m=FAR, end_height_m=m_from_ft(500.0))
    path = simulator_in(CALM).fly(Start(0.0, 0.0, 400.0, 0.0, EAS), (leg,)).path
    assert path.height_m[-1] == pytest.approx(m_from_ft(500.0), abs=1e-3)


def test_thrust_that_balances_drag_holds_the_height() -> None:
    simulator = simulator_in(CALM)
    tas = simulator.air.tas_mps_from_eas_mps(EAS, 500.0)
    level = Configuration("level", thrust_power_per_weight_mps=GLIDE.drag_to_weight(EAS, 1.0, CLEAN) * tas)
    path = simulator.fly(Start(0.0, 0.0, 500.0, 0.0, EAS), (line(60.0, configuration=level),)).path
    assert abs(path.height_m[-1] - 500.0) < 1.0


def test_plain_and_compiled_kernels_fly_the_same() -> None:
    program = (
        "from tests.unit.test_guided_flight import *\n"
        "legs = (turn(0.5, 10.0), line(10.0, 0.4))\n"
        "wind = wind_of((0.0, 240.0, 8.0), (3000.0, 270.0, 18.0))\n"
        "row = simulator_in(wind).fly_rows(Start(0.0, 0.0, 600.0, 0.1, EAS), legs)[-1]\n"
        "print(' '.join(f'{value:.9e}' for value in row))\n"
    )
    answers = []
    for plain in ("1", "0"):
        done = subprocess.run(
            [sys.executable, "-c", program],
            capture_output=True,
            text=True,
            env={**os.environ, "VOLPLANE_PLAIN": plain},
            cwd=pathlib.Path(__file__).parents[2],
            check=True,
        )
        answers.append([float(value) for value in done.stdout.split()])
    assert answers[0] == pytest.approx(answers[1], rel=1e-7, abs=1e-7)
