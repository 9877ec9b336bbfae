"""How long one plan, one debrief and one guided flight take, warm: `python benchmarks/bench_plan.py`."""

from __future__ import annotations

import time
from collections.abc import Callable

from volplane import bootstrap
from volplane.domain.exercise.flying import bench
from volplane.domain.exercise.shape_search import solve_shape

REPEATS = 20


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
        ("one guided flight, high key to 50 ft", lambda: ready.whole(solution.shape, solution.entry_height_m)),
        ("one recording debriefed", lambda: bootstrap.debrief_bytes(recording.file_name, recording.data, exercise)),
    ):
        least, median = least_and_median_ms(work)
        print(f"{name}: least {least:.2f} ms, median {median:.2f} ms")


if __name__ == "__main__":
    main()
