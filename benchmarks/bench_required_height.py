"""How fast the required height is: microseconds a state on one core, milliseconds a grid on all of them.

Wished for: under 1.5 us a state at wind up to 0.3 of the airspeed, under 2.5 us at 0.6; a 161 x 161 grid under 25 ms on
two cores. Printed, never asserted: other work on the machine counts in. The least of many repeats is told.
"""

from __future__ import annotations

import math
import os
import time
from collections.abc import Callable

import numpy as np

from volplane.domain.geometry.shortest_paths import least_costs_m
from volplane.domain.glide.required_height import required_height

STATES = 50_000
REPEATS = 25
TAS_MPS = 54.0
BANK_RAD = math.radians(30.0)
RADIUS_M = TAS_MPS**2 / (9.80665 * math.tan(BANK_RAD))


def least_s(work: Callable[[], object], clock: Callable[[], float] = time.perf_counter) -> float:
    """Least time of many repeats, after one for warming up."""
    work()
    times = []
    for _ in range(REPEATS):
        begin = clock()
        work()
        times.append(clock() - begin)
    return min(times)


def one_core() -> None:
    """Random states near and far, wind from everywhere; time of this thread alone."""
    rng = np.random.default_rng(1)
    heading, direction = rng.uniform(0.0, 2.0 * math.pi, (2, STATES))
    for reach in (4.0, 12.0):
        x, y = rng.uniform(-reach * RADIUS_M, reach * RADIUS_M, (2, STATES))
        for wind in (0.0, 0.1, 0.3, 0.6, 0.9):
            wind_x, wind_y = wind * TAS_MPS * np.cos(direction), wind * TAS_MPS * np.sin(direction)

            def work(x=x, y=y, wind_x=wind_x, wind_y=wind_y) -> object:  # type: ignore[no-untyped-def]
                return least_costs_m(
                    x, y, heading, tas_mps=TAS_MPS, turn_radius_m=RADIUS_M, wind_x_mps=wind_x, wind_y_mps=wind_y,
                    turn_cost_factor=7.0 / 6.0, threads=1,
                )  # fmt: skip

            microseconds = least_s(work, time.thread_time) / STATES * 1e6
            print(f"one core, within {reach:.0f} radii, wind {wind:.1f} of airspeed: {microseconds:.2f} us a state")


def grid() -> None:
    """A square of 12,000 ft around the point, downwind, on all cores."""
    side = np.linspace(-1830.0, 1830.0, 161)
    x, y = np.meshgrid(side, side)
    for wind in (0.0, 0.3, 0.6):

        def work(wind: float = wind) -> object:
            return required_height(
                x, y, math.pi, tas_mps=TAS_MPS, ratio=10.5, bank_rad=BANK_RAD,
                wind_x_mps=-0.8 * wind * TAS_MPS, wind_y_mps=0.6 * wind * TAS_MPS,
            )  # fmt: skip

        print(f"161 x 161 on {os.cpu_count()} cores, wind {wind:.1f} of airspeed: {least_s(work) * 1e3:.1f} ms")


def one_state() -> None:
    """One state asked for with numbers, not arrays."""
    microseconds = least_s(lambda: required_height(0.0, 1500.0, 3.0, tas_mps=TAS_MPS, ratio=10.5, bank_rad=BANK_RAD))
    print(f"one state: {microseconds * 1e6:.0f} us")


if __name__ == "__main__":
    one_core()
    grid()
    one_state()
