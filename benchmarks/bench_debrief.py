"""How long a debrief takes, warm, and what it holds in memory: `python benchmarks/bench_debrief.py`, in the house."""

from __future__ import annotations

import dataclasses
import resource
import sys
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

import numpy as np

from benchmarks.bench_plan import least_and_median_ms
from tests.unit.debrief_flights import FACTS, Flown, Made, fly, joined, recorded
from tests.unit.debrief_pieces import Piece, before
from volplane import bootstrap
from volplane.domain.debrief.debrief import debrief_track
from volplane.domain.debrief.runways_flown import exercises_flown
from volplane.domain.exercise.exercise import Exercise
from volplane.domain.track.cleaning import cleaned
from volplane.domain.track.track import Track

WIND = Made(wind_low_mps=(-4.0, 1.0), wind_high_mps=(-9.0, 3.0))
TWO_HOURS_S = 7200
EXERCISES = 6


def five_minutes() -> Flown:
    """One exercise with some level flight before it."""
    return before(fly(WIND), [Piece(80.0)])


def two_hours(exercise: Exercise) -> Track:
    """Six exercises with what lies between them, a fix every second for two hours."""
    track = recorded(joined([before(fly(WIND), [Piece(400.0)]) for _ in range(EXERCISES)], pause_s=500.0), exercise)
    grid_s = np.arange(float(TWO_HOURS_S))
    assert track.altitude_m is not None
    places = (track.latitude_deg, track.longitude_deg, track.altitude_m)
    latitude, longitude, altitude = (np.interp(grid_s, track.time_s, channel) for channel in places)
    return dataclasses.replace(
        track, time_s=grid_s, latitude_deg=latitude, longitude_deg=longitude, altitude_m=altitude
    )


def main() -> None:
    """Print the table."""
    exercise = bootstrap.demo_workbench().exercise({})
    short, long = recorded(five_minutes(), exercise), two_hours(exercise)
    sound, atmosphere = cleaned(long)[0], exercise.weather.atmosphere
    works: tuple[tuple[str, Callable[[], object]], ...] = (
        (f"two hours cleaned, {len(long.time_s)} fixes", lambda: cleaned(long)),
        ("exercises found in them", lambda: exercises_flown(sound, exercise, atmosphere)),
        (f"five minutes debriefed, {len(short.time_s)} fixes", lambda: debrief_track(short, exercise, FACTS)),
        (f"two hours debriefed, {EXERCISES} exercises", lambda: debrief_track(long, exercise, FACTS)),
    )
    for name, work in works:
        least, median = least_and_median_ms(work)
        print(f"{name}: least {least:.1f} ms, median {median:.1f} ms")
    print(f"most memory held: {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0:.0f} MB")


if __name__ == "__main__":
    main()
