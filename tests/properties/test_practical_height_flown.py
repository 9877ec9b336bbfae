"""The practical required height, flown by the integrator: roll, shear and growing density included.

The words of `required_height` are laid over the ground and flown in the real wind profile with the steepest bank
allowed. Whoever starts at the required height must complete the turn to final at its least height: not below it by more
than the error of a mean wind, and not so high above it that the figure would be of no use.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from tests.exercises import exercise_of, weather_of, wind_of
from volplane.domain.exercise.exercise import GateName
from volplane.domain.exercise.flying import Bench, bench
from volplane.domain.exercise.plan import PlannedGate
from volplane.domain.exercise.solver import solve
from volplane.domain.geometry.shortest_paths import AirPath, fly_word
from volplane.domain.glide.guided_flight import Leg, LegKind, Start
from volplane.domain.glide.practical_height import PracticalHeight, practical_height, steady_glide
from volplane.domain.glide.required_height import height_to_reach, path_to_reach
from volplane.units import ft_from_m, m_from_ft

BELOW_FT, ABOVE_FT = 25.0, 80.0
WINDS = [
    [(0.0, 240.0, 8.0), (3000.0, 270.0, 18.0)],
    [(0.0, 238.4, 12.0), (3000.0, 238.4, 20.0)],
    [(0.0, 330.0, 9.0), (3000.0, 350.0, 20.0)],
    [(0.0, 150.0, 9.0), (3000.0, 120.0, 20.0)],
    [(0.0, 60.0, 3.0), (3000.0, 40.0, 15.0)],
    [(0.0, 200.0, 0.0), (3000.0, 200.0, 0.0)],
]


@pytest.mark.parametrize("delay_s", [0.0, 4.0])
@pytest.mark.parametrize("levels", WINDS, ids=lambda levels: "-".join(str(level[1:]) for level in levels))
def test_from_the_required_height_the_turn_to_final_is_complete_at_its_least_height(
    levels: list[tuple[float, float, float]], delay_s: float
) -> None:
    exercise = exercise_of(weather=weather_of(wind_of(*levels)), reserve_m=0.0, reaction_delay_s=delay_s)
    low_key = solve(exercise).gate(GateName.LOW_KEY)
    assert low_key is not None
    ready = bench(exercise)
    practical = practical_height(ready.glide, ready.air, ready.limits, ready.aim_x_m, ready.fifty_foot_x_m)
    heading_rad = _runway_heading(ready, low_key)
    required_m = float(
        practical.required_m(*(np.array([v]) for v in (low_key.x_m, low_key.y_m, heading_rad, 0.0, low_key.height_m)))[
            0
        ]
    )
    flown_m = _height_after_the_turn_m(ready, practical, low_key, heading_rad, required_m)
    above_ft = ft_from_m(flown_m - practical.final.start_height_m)
    assert -BELOW_FT <= above_ft <= ABOVE_FT


def _runway_heading(ready: Bench, gate: PlannedGate) -> float:
    return ready.exercise.runway.bearing_true_rad - gate.heading_true_rad


def _height_after_the_turn_m(
    ready: Bench, practical: PracticalHeight, gate: PlannedGate, heading_rad: float, height_m: float
) -> float:
    limits = ready.limits
    tas_mps = ready.tas_mps(height_m)
    wind_x, wind_y = (float(part) for part in ready.air.wind_xy_mps(height_m))
    velocity_x = tas_mps * math.cos(heading_rad) + wind_x
    velocity_y = tas_mps * math.sin(heading_rad) + wind_y
    delay_s = limits.reaction_delay_s
    x_m, y_m = gate.x_m + delay_s * velocity_x, gate.y_m + delay_s * velocity_y
    final_x_m, path = _cheapest(ready, practical, (x_m, y_m, heading_rad), height_m)
    assert path.word[1] == "S"
    track_rad = math.atan2(velocity_y, velocity_x)
    legs = _legs(ready, path, final_x_m)
    if delay_s > 0.0:
        far_x_m, far_y_m = gate.x_m + 1e6 * math.cos(track_rad), gate.y_m + 1e6 * math.sin(track_rad)
        common = (track_rad, limits.glide_eas_mps, limits.glide_configuration, 1.0)
        legs = (Leg("delay", LegKind.LINE, *common, x_m=far_x_m, y_m=far_y_m, end_time_s=delay_s), *legs)
    start = Start(gate.x_m, gate.y_m, height_m, heading_rad, limits.glide_eas_mps)
    path_flown = ready.simulator.fly(start, legs).path
    after = int(np.searchsorted(path_flown.phase_index, len(legs) - 1))
    return float(path_flown.height_m[after])


def _cheapest(
    ready: Bench, practical: PracticalHeight, state: tuple[float, float, float], height_m: float
) -> tuple[float, AirPath]:
    """The cheapest word in the mean wind, over starts of the final from far to near."""
    limits, final = ready.limits, practical.final
    heights_m = np.linspace(final.start_height_m, height_m, 30)
    mean_x, mean_y = (float(np.mean(part)) for part in ready.air.wind_xy_mps(heights_m))
    tas_mps = ready.tas_mps(0.5 * (final.start_height_m + height_m))
    straight = steady_glide(ready.glide, limits.glide_eas_mps, 0.0, limits.glide_configuration)
    turning = steady_glide(ready.glide, limits.glide_eas_mps, limits.bank_low_rad, limits.glide_configuration)
    _, across = ready.air.wind_xy_mps(final.start_height_m)
    asked = {
        "tas_mps": tas_mps * straight.level_fraction,
        "turn_radius_m": tas_mps**2 * turning.level_fraction / (9.80665 * math.tan(limits.bank_low_rad)),
        "straight_sink_mps": tas_mps * straight.sink_fraction,
        "turning_sink_mps": tas_mps * turning.sink_fraction,
        "wind_x_mps": mean_x,
        "wind_y_mps": mean_y,
        "goal_heading_rad": -math.asin(float(across) / ready.tas_mps(final.start_height_m)),
    }
    far_x_m = practical.aim_x_m - final.start_distance_m
    near_x_m = practical.aim_x_m - min(limits.minimum_final_m, final.start_distance_m)
    x_m, y_m, heading_rad = state
    best_x_m = min(
        np.linspace(far_x_m, near_x_m, 13), key=lambda at: float(height_to_reach(x_m - at, y_m, heading_rad, **asked))
    )
    path = path_to_reach(x_m - float(best_x_m), y_m, heading_rad, **asked)
    assert path is not None
    return float(best_x_m), path


def _legs(ready: Bench, path: AirPath, final_x_m: float) -> tuple[Leg, ...]:
    """The word over the ground: turn, straight track, turn, and the first of the final."""
    limits = ready.limits
    x, y, _ = fly_word(path, np.array([0.0, *path.piece_ends_s]))
    track_rad = math.atan2(float(y[2] - y[1]), float(x[2] - x[1]))
    common = (limits.glide_eas_mps, limits.glide_configuration, 1.0)
    signs = [1 if path.word[place] == "L" else -1 for place in (0, 2)]
    bank = limits.bank_low_rad
    return (
        Leg("first turn", LegKind.TURN, track_rad, *common, turn_sign=signs[0], bank_rad=bank),
        Leg("straight", LegKind.LINE, track_rad, *common, x_m=float(x[2]) + final_x_m, y_m=float(y[2])),
        Leg("last turn", LegKind.TURN, 0.0, *common, turn_sign=signs[1], bank_rad=bank),
        Leg("final", LegKind.LINE, 0.0, *common, x_m=1e6, end_height_m=m_from_ft(100.0)),
    )
