"""Many flights of one plan: reproducible, true to the plan without errors, and wider with more of them."""

from __future__ import annotations

import dataclasses
import functools
import math
import os
import subprocess
import sys
from typing import Any

import numpy as np
import pytest

from tests.exercises import exercise_of
from volplane import bootstrap
from volplane.domain.exercise.dispersion import (
    Dispersion,
    DispersionStopped,
    disperse,
    dispersion_findings,
    uncertainties_of,
)
from volplane.domain.exercise.exercise import Exercise, GateName, HalfTurn, ShapeName
from volplane.domain.exercise.pilot import Pilot
from volplane.domain.exercise.plan import BreakOff
from volplane.domain.exercise.shape_search import Solution, solve_shape
from volplane.domain.exercise.solver import BREAK_OFF_ABOVE_MPS, BREAK_OFF_BELOW_MPS
from volplane.domain.exercise.thresholds import Thresholds
from volplane.domain.exercise.uncertainties import SOURCES, Source, Uncertainties
from volplane.domain.finding import Severity
from volplane.units import m_from_ft, mps_from_kt

# half a knot of airspeed at 50 ft moves a touchdown about as much as the coarser step may
NEAR_THE_PLAN_M = 6.0
NEAR_ITS_HEIGHTS_M = 3.0


@functools.cache
def demo() -> Exercise:
    """The demo's exercise."""
    return bootstrap.demo_workbench().exercise({})


@functools.cache
def solution(pattern: str = "left") -> Solution:
    """The demo's exercise solved, to either side."""
    return solve_shape(bootstrap.demo_workbench().exercise({"pattern": pattern}))


def break_off() -> BreakOff:
    """The demo's rule at 500 ft."""
    return BreakOff(152.4, 440.0, 53.7 - BREAK_OFF_BELOW_MPS, 53.7 + BREAK_OFF_ABOVE_MPS, math.radians(30.0))


def flown(runs: int = 600, seed: int = 1, pattern: str = "left", **keywords: object) -> Dispersion:
    """The demo flown many times."""
    settings = {"with_sensitivities": False, **keywords}
    return disperse(solution(pattern), break_off(), runs, seed, **settings)  # type: ignore[arg-type]


def sum_of(dispersion: Dispersion) -> float:
    """All five fractions."""
    return (
        dispersion.short_of_runway_fraction
        + dispersion.before_zone_fraction
        + dispersion.in_zone_fraction
        + dispersion.long_fraction
        + dispersion.go_around_fraction
    )


@pytest.mark.parametrize("pattern", ["left", "right"])
def test_without_errors_every_flight_is_the_plan(pattern: str) -> None:
    found = flown(100, pattern=pattern, uncertainties=Uncertainties.none())
    assert found.go_around_fraction == 0.0
    assert found.sd_x_m == pytest.approx(0.0, abs=1e-9)
    # the pilot aims into the zone beyond the point, and without errors hits it
    assert found.in_zone_fraction == 1.0
    assert 0.0 <= found.mean_x_m <= Pilot().aims_beyond_m


def test_without_errors_the_gates_are_those_of_the_plan() -> None:
    plan = bootstrap.plan_exercise(demo())
    spread = {gate.name: gate for gate in flown(100, uncertainties=Uncertainties.none()).gates}
    for name in (GateName.HIGH_KEY, GateName.LOW_KEY):
        gate = plan.gate(name)
        assert gate is not None
        assert spread[name].mean_m == pytest.approx(gate.height_m, abs=NEAR_ITS_HEIGHTS_M)
        assert spread[name].passed_fraction == 1.0


def test_the_same_seed_gives_the_same_answer_for_any_number_of_threads() -> None:
    one = flown(2000, seed=5, threads=1)
    assert flown(2000, seed=5, threads=2) == one
    assert flown(2000, seed=5, threads=3) == one
    assert flown(2000, seed=6, threads=2) != one


def test_as_many_threads_fly_as_are_asked_for(monkeypatch: pytest.MonkeyPatch) -> None:
    """Shares once were too small to be split, so that one thread flew them all and the test above proved nothing."""
    from volplane.domain.exercise import dispersion_kernel

    fly_many, shares = dispersion_kernel.fly_many, []

    def noted(seed: int, flights: np.ndarray, *others: object) -> None:
        shares.append(len(flights))
        fly_many(seed, flights, *others)  # type: ignore[arg-type]

    monkeypatch.setattr(dispersion_kernel, "fly_many", noted)
    flown(2000, threads=3)
    assert sorted(shares) == [666, 667, 667]


def test_whoever_watches_is_told_of_all_flights_and_may_stop_them() -> None:
    told: list[tuple[int, int]] = []
    flown(4500, progress=lambda done, total: told.append((done, total)))
    assert told == [(2000, 4500), (4000, 4500), (4500, 4500)]
    with pytest.raises(DispersionStopped, match="stopped after 2000 of 4500 flights"):
        flown(4500, progress=lambda done, total: True)


@pytest.mark.parametrize(
    "changes",
    [
        {"shape": ShapeName.POWER_OFF_180, "entry_height_m": m_from_ft(1500.0), "low_key_height_m": m_from_ft(1500.0)},
        {"shape": ShapeName.NINETY_DEGREES, "entry_height_m": m_from_ft(1100.0)},
        {"shape": ShapeName.STEEP_SPIRAL, "entry_height_m": m_from_ft(7500.0)},
        {"entry_height_m": m_from_ft(5500.0)},
        {"half_turn": HalfTurn.CONSTANT_BANK},
    ],
    ids=["power-off 180", "90-degree approach", "steep spiral", "whole circles", "constant bank"],
)
def test_every_shape_is_flown_and_without_errors_lands_in_the_zone(changes: dict[str, Any]) -> None:
    solved = solve_shape(exercise_of(**changes))
    assert solved.is_feasible
    known = disperse(solved, break_off(), 100, uncertainties=Uncertainties.none(), with_sensitivities=False)
    assert known.in_zone_fraction == 1.0
    unknown = disperse(solved, break_off(), 600, with_sensitivities=False)
    assert sum_of(unknown) == pytest.approx(1.0)
    assert unknown.go_around_fraction > known.go_around_fraction


def test_the_random_numbers_of_flights_are_normal_and_not_alike() -> None:
    from volplane.domain.exercise.dispersion_chance_kernel import flight_key, normal

    stream = [normal(flight_key(3, flight), 0) for flight in range(20_000)]
    assert np.mean(stream) == pytest.approx(0.0, abs=0.03)  # four standard errors
    assert np.std(stream) == pytest.approx(1.0, abs=0.02)
    assert abs(np.corrcoef(stream[:-1], stream[1:])[0, 1]) < 0.03
    assert len(set(stream)) == len(stream)


def test_fractions_add_up_to_one_and_go_arounds_are_counted_apart() -> None:
    found = flown()
    assert sum_of(found) == pytest.approx(1.0)
    assert found.go_around_fraction > 0.0
    assert sum(each.flights_fraction for each in found.go_arounds) == pytest.approx(found.go_around_fraction)


def test_more_uncertain_wind_spreads_the_touchdowns_wider() -> None:
    def only_wind(factor: float) -> Dispersion:
        bare = Uncertainties()
        wind = dataclasses.replace(
            Uncertainties.none(),
            wind_speed_fraction=factor * bare.wind_speed_fraction,
            wind_least_mps=factor * bare.wind_least_mps,
            wind_direction_rad=factor * bare.wind_direction_rad,
        )
        return flown(uncertainties=wind)

    widths = [only_wind(factor).sd_x_m for factor in (0.5, 1.0, 1.5)]
    assert widths[0] < widths[1] < widths[2]


def test_landings_alone_scatter_as_their_uncertainty_says() -> None:
    only = dataclasses.replace(Uncertainties.none(), landing_m=60.0)
    found = flown(4000, uncertainties=only)
    assert found.sd_x_m == pytest.approx(60.0, rel=0.05)  # four standard errors
    assert found.go_around_fraction == 0.0


def test_a_pilot_who_corrects_lands_nearer_than_one_who_cannot() -> None:
    rules_off = {"accepts_short_m": 1e6, "accepts_long_m": 1e6}
    only_height = dataclasses.replace(Uncertainties.none(), entry_height_m=15.0)
    seeing = flown(uncertainties=only_height, pilot=Pilot(**rules_off))
    asleep = flown(uncertainties=only_height, pilot=Pilot(**rules_off, look_s=1e6))
    assert seeing.sd_x_m < 0.5 * asleep.sd_x_m


def test_sensitivities_name_the_only_source_there_is() -> None:
    only = dataclasses.replace(Uncertainties.none(), landing_m=60.0)
    found = flown(400, uncertainties=only, with_sensitivities=True)
    first, *others = found.sensitivities
    assert first.source is Source.LANDING
    assert first.variance_share_fraction == pytest.approx(1.0)
    assert all(abs(each.variance_share_fraction) < 1e-9 for each in others)


def test_every_source_has_its_numbers_and_says_where_they_come_from() -> None:
    assert set(SOURCES) == set(Source)
    for source in Source:
        assert Uncertainties().without(source) != Uncertainties()
        assert SOURCES[source].startswith("ours: ")


def test_gusts_make_the_airspeed_wander_more() -> None:
    exercise = demo()
    gusty = dataclasses.replace(exercise.weather, gust_mps=mps_from_kt(30.0))
    calm = dataclasses.replace(exercise.weather, gust_mps=None)
    assert (
        uncertainties_of(dataclasses.replace(exercise, weather=gusty)).airspeed_wander_mps
        > uncertainties_of(dataclasses.replace(exercise, weather=calm)).airspeed_wander_mps
    )


@pytest.mark.parametrize(
    ("short", "severity"), [(0.02, None), (0.021, Severity.CAUTION), (0.05, Severity.CAUTION), (0.051, Severity.STOP)]
)
def test_landing_short_of_the_runway_is_a_caution_over_two_percent_and_a_stop_over_five(
    short: float, severity: Severity | None
) -> None:
    found = list(dispersion_findings(dataclasses.replace(flown(100), short_of_runway_fraction=short), Thresholds()))
    assert [each.severity for each in found] == ([] if severity is None else [severity])


@pytest.mark.parametrize(("runs", "seed"), [(99, 1), (200_001, 1), (100, -1), (100, 2**32)])
def test_what_cannot_be_flown_is_refused(runs: int, seed: int) -> None:
    with pytest.raises(ValueError, match=r"runs|seed"):
        flown(runs, seed)


def test_values_that_mean_nothing_are_refused() -> None:
    with pytest.raises(ValueError, match="landing_m"):
        Uncertainties(landing_m=-1.0)
    with pytest.raises(ValueError, match="memory"):
        Uncertainties(bank_memory_s=0.0)
    with pytest.raises(ValueError, match="look_s"):
        Pilot(look_s=0.0)
    with pytest.raises(ValueError, match="cut_angle_rad"):
        Pilot(cut_angle_rad=2.0)


PROGRAM = """
from tests.unit.test_dispersion import flown
found = flown(100, seed=9)
print(found.go_around_fraction, found.mean_x_m, found.sd_x_m)
"""


def test_the_kernel_answers_the_same_in_plain_python() -> None:
    def answer(plain: str) -> list[float]:
        environment = {**os.environ, "VOLPLANE_PLAIN": plain}
        command = [sys.executable, "-c", PROGRAM]
        done = subprocess.run(command, env=environment, capture_output=True, text=True, check=True)
        return [float(word) for word in done.stdout.split()]

    assert answer("1") == pytest.approx(answer("0"), abs=1e-3)
