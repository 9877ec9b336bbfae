"""Obstacles typed by hand: how far above them the path passes, and what a gate needs to clear those still ahead."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from volplane.domain.exercise.exercise import Exercise, Obstacle
from volplane.domain.exercise.plan import Binding
from volplane.domain.glide.flight_path import FlightPath
from volplane.units import FOOT_M

Array = NDArray[np.float64]

# an obstacle counts where the path passes nearer than this: distance to structures of 14 CFR 91.119 (from memory)
NEAR_AN_OBSTACLE_M = 500.0 * FOOT_M


def clearance_m(path: FlightPath, obstacle: Obstacle, from_s: float = -math.inf) -> float:
    """Least height of the path above an obstacle's top while it is near, from a time on; infinite where it never is."""
    near = np.hypot(path.x_m - obstacle.x_m, path.y_m - obstacle.y_m) <= NEAR_AN_OBSTACLE_M
    above_m = path.height_m[near & (path.time_s >= from_s)] - obstacle.height_m
    return float(above_m.min()) if len(above_m) else math.inf


def obstacle_in_the_way(exercise: Exercise, path: FlightPath) -> Binding | None:
    """The obstacle the path clears by least, where that is less than the margin."""
    worst = min(exercise.obstacles, key=lambda each: clearance_m(path, each), default=None)
    if worst is None or clearance_m(path, worst) >= exercise.obstacle_margin_m:
        return None
    quantities: dict[str, float | str] = {
        "x_m": worst.x_m,
        "y_m": worst.y_m,
        "height_m": worst.height_m,
        "clearance_m": clearance_m(path, worst),
        "margin_m": exercise.obstacle_margin_m,
    }
    return Binding("obstacle", quantities)


def required_over_obstacles_m(exercise: Exercise, path: FlightPath, time_s: float, height_m: float) -> float:
    """Height a place of the path needs so that the rest of it, flown so much lower, clears every obstacle ahead.

    Minus infinity where there is none. `height_m` is the height of the path at `time_s`.
    """
    least_m = min((clearance_m(path, each, time_s) for each in exercise.obstacles), default=math.inf)
    return height_m - (least_m - exercise.obstacle_margin_m)
