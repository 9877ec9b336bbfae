"""How long `volplane measure` takes on an hour at 1 Hz, as a process: `python benchmarks/bench_measure.py`."""

from __future__ import annotations

import pathlib
import subprocess
import sys
import tempfile
import time

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1]))

from tests.mornings import TruePolar
from tests.recorded_morning import glides_both_ways, recorded
from volplane import bootstrap
from volplane.adapters.formats import csv
from volplane.units import KNOT_MPS

REPEATS = 5
SPEEDS_KT = (80, 88, 96, 104, 112, 122, 134)


def main() -> None:
    """Print least and median."""
    track = recorded(TruePolar(104.0 * KNOT_MPS, 8.9), glides_both_ways(SPEEDS_KT))
    with tempfile.TemporaryDirectory() as name:
        folder = pathlib.Path(name)
        (folder / "hour.csv").write_bytes(csv.write(track))
        (folder / "airplane.toml").write_text(bootstrap.demo_texts()["dunlin_tourer.toml"], encoding="utf-8")
        command = [
            sys.executable,
            "-m",
            "volplane.faces.cli.main",
            "measure",
            "hour.csv",
            "--airplane",
            "airplane.toml",
        ]
        taken = []
        for _ in range(REPEATS + 1):
            begin = time.perf_counter()
            subprocess.run([*command, "--weight", "3400 lb"], cwd=folder, check=True, capture_output=True)
            taken.append(time.perf_counter() - begin)
    taken = sorted(taken[1:])
    print(f"measure, {len(track.time_s):,} s at 1 Hz, a process: {taken[0]:.2f} s, {taken[REPEATS // 2]:.2f} s median")


if __name__ == "__main__":
    main()
