"""Windows are true: below required nobody arrives, above it somebody does; the same from the other side for highest.

Random airplanes, weights, winds, fields and patterns. Lowest is held by a pilot who searches every way to fly
(`best_pilot`) and knows nothing of the formula; highest by flying the planned path with everything out that the limits
allow. Thirty feet either side must tell.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import numpy as np
import pytest

from tests.properties.best_pilot import State, most_height_left_m
from tests.properties.random_exercises import feasible_exercises
from volplane.domain.exercise.exercise import Exercise, GateName
from volplane.domain.exercise.flying import bench
from volplane.domain.exercise.plan import PlannedGate
from volplane.domain.exercise.shape_search import solve_shape
from volplane.domain.exercise.solver import solve
from volplane.domain.glide.configuration import Flap
from volplane.domain.glide.guided_flight import Start
from volplane.domain.glide.practical_height import practical_height
from volplane.units import ft_from_m, m_from_ft

OFF_M = m_from_ft(30.0)
# FAA-S-ACS-7B, power-off 180: within 200 ft beyond the point
ZONE_FT = 200.0
HIGHEST_AT = (GateName.HIGH_KEY, GateName.LOW_KEY, GateName.BASE_KEY, GateName.FINAL)


def lowest_verdict(exercise: Exercise) -> str:
    """What the best pilot makes of the low key's required height, 30 ft under it and 30 ft over it."""
    ready = bench(exercise)
    practical = practical_height(ready.glide, ready.air, ready.limits, ready.aim_x_m, ready.fifty_foot_x_m)
    gate = solve(exercise, with_levers=False).gate(GateName.LOW_KEY)
    assert gate is not None
    heading_rad = exercise.runway.bearing_true_rad - gate.heading_true_rad
    # asked at its own height, so that the reaction is flown in the wind the pilot has
    required_m = practical.required_m(gate.x_m, gate.y_m, heading_rad, 0.0, gate.required_m)[0]
    below, above = (
        most_height_left_m(ready, practical, State(gate.x_m, gate.y_m, required_m + off_m, heading_rad))
        for off_m in (-OFF_M, OFF_M)
    )
    return "lands from below" if below >= 0.0 else "misses from above" if above < 0.0 else "true"


def touchdown_ft(exercise: Exercise, gate: PlannedGate, height_m: float) -> float:
    """Where the planned path touches down with gear and full flap out from a gate on."""
    solution = solve_shape(exercise)
    ready = solution.bench
    flight = ready.whole(solution.shape, solution.entry_height_m)
    path = flight.path
    first = int(path.phase_index[max(int(np.searchsorted(path.time_s, gate.time_s, side="right")) - 1, 0)])
    most = next(each for each in exercise.airplane.configurations if each.flap is Flap.FULL)
    legs = [
        replace(leg, configuration=most) if leg.configuration == ready.limits.glide_configuration else leg
        for leg in flight.legs[first:]
    ]
    heading, eas, bank = (
        float(np.interp(gate.time_s, path.time_s, values)) for values in (path.heading_rad, path.eas_mps, path.bank_rad)
    )
    start = Start(gate.x_m, gate.y_m, height_m, heading, eas, bank)
    return ft_from_m(ready.touchdown_x_m(ready.simulator.fly_rows(start, tuple(legs))))


def highest_verdicts(exercise: Exercise) -> list[str]:
    verdicts = []
    for gate in solve(exercise, with_levers=False).gates:
        if gate.name in HIGHEST_AT:
            below = touchdown_ft(exercise, gate, gate.highest_m - OFF_M)
            above = touchdown_ft(exercise, gate, gate.highest_m + OFF_M)
            verdicts.append("long from below" if below > ZONE_FT else "in from above" if above <= ZONE_FT else "true")
    return verdicts


def test_thirty_feet_below_required_nobody_arrives_and_thirty_above_the_best_pilot_does() -> None:
    assert Counter(map(lowest_verdict, feasible_exercises(seed=1, count=2))) == {"true": 2}


def test_thirty_feet_above_highest_everything_out_is_too_little_and_thirty_below_it_is_enough() -> None:
    assert {verdict for each in feasible_exercises(seed=2, count=5) for verdict in highest_verdicts(each)} == {"true"}


@pytest.mark.long
def test_highest_of_two_hundred_random_exercises_is_true() -> None:
    verdicts = Counter(verdict for each in feasible_exercises(seed=4, count=200) for verdict in highest_verdicts(each))
    print(verdicts)
    assert set(verdicts) == {"true"}


@pytest.mark.long
def test_required_of_two_hundred_random_exercises_is_true() -> None:
    verdicts = Counter(map(lowest_verdict, feasible_exercises(seed=3, count=200)))
    print(verdicts)
    assert set(verdicts) == {"true"}
