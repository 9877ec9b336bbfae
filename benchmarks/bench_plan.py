"""How long plans, a comparison, a debrief and a guided flight take, warm: `python benchmarks/bench_plan.py`."""

from __future__ import annotations

import dataclasses
import time
from collections.abc import Callable
from typing import Any

from volplane import bootstrap
from volplane.domain.exercise.comparing import compare
from volplane.domain.exercise.exercise import ShapeName
from volplane.domain.exercise.flying import bench
from volplane.domain.exercise.shape_search import solve_shape
from volplane.domain.exercise.solver import solve
from volplane.units import m_from_ft

REPEATS = 20
POWER_OFF_180: dict[str, Any] = {
    "shape": ShapeName.POWER_OFF_180,
    "entry_height_m": m_from_ft(1500.0),
    "low_key_height_m": m_from_ft(1500.0),
}
STEEP_SPIRAL: dict[str, Any] = {"shape": ShapeName.STEEP_SPIRAL, "entry_height_m": m_from_ft(7500.0)}
TOO_LOW: dict[str, Any] = {"entry_height_m": m_from_ft(2100.0)}


def least_and_median_ms(work: Callable[[], object]) -> tuple[float, float]:
    """Least and median of the repeats, after one that is not counted."""
    work()
    taken = []
    for _ in range(REPEATS):
        begin = time.perf_counter()
        work()
        taken.append(1e3 * (time.perf_counter() - begin))
    return min(taken), sorted(taken)[REPEATS // 2]


def main() -> None:
    """Print the table."""
    workbench = bootstrap.demo_workbench()
    exercise = workbench.exercise({})
    solution = solve_shape(exercise)
    ready = bench(exercise)
    recording = bootstrap.demo_recordings()[0]
    for name, work in (
        ("exercise file to values", lambda: workbench.exercise({})),
        ("shape searched", lambda: solve_shape(exercise)),
        ("plan solved", lambda: bootstrap.plan_exercise(exercise)),
        ("all runways and both sides compared", lambda: compare(exercise)),
        ("plan solved, power-off 180", lambda: solve(dataclasses.replace(exercise, **POWER_OFF_180))),
        ("plan solved, steep spiral", lambda: solve(dataclasses.replace(exercise, **STEEP_SPIRAL))),
        ("plan solved, impossible, with what would help", lambda: solve(dataclasses.replace(exercise, **TOO_LOW))),
        ("one guided flight, high key to 50 ft", lambda: ready.whole(solution.shape, solution.entry_height_m)),
        ("one recording debriefed", lambda: bootstrap.debrief_bytes(recording.file_name, recording.data, exercise)),
    ):
        least, median = least_and_median_ms(work)
        print(f"{name}: least {least:.2f} ms, median {median:.2f} ms")


if __name__ == "__main__":
    main()
