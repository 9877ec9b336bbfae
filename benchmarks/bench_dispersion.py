"""How long a dispersion takes, warm: `python benchmarks/bench_dispersion.py`. The aim is 10,000 flights in 1.5 s."""

from __future__ import annotations

import os
import time

from volplane import bootstrap
from volplane.domain.exercise.dispersion import disperse
from volplane.domain.exercise.shape_search import solve_shape

FLIGHTS, REPEATS = 10_000, 5


def main() -> None:
    """Print the table."""
    exercise = bootstrap.demo_workbench().exercise({})
    solution, break_off = solve_shape(exercise), bootstrap.plan_exercise(exercise).break_off
    disperse(solution, break_off, 100)
    print(f"{os.cpu_count()} cores; least of {REPEATS}")
    for name, threads, with_sensitivities in (
        ("one thread", 1, False),
        ("a thread a core", None, False),
        ("a thread a core, with sensitivities", None, True),
    ):
        taken_s, worked_s = [], []
        for _ in range(REPEATS):
            begin, worked = time.perf_counter(), time.process_time()
            disperse(solution, break_off, FLIGHTS, threads=threads, with_sensitivities=with_sensitivities)
            taken_s.append(time.perf_counter() - begin)
            worked_s.append(time.process_time() - worked)
        print(f"{FLIGHTS} flights, {name}: {min(taken_s):.2f} s, of the processor {min(worked_s):.2f} s")


if __name__ == "__main__":
    main()
