"""Three files as texts, and how tests read them: from memory, on a fixed day, with a fixed variation.

Airplane and airfield are the demo's; the exercise is the tests' own, so that the demo may be changed.
"""

from __future__ import annotations

import importlib.resources
import math
from dataclasses import dataclass

from volplane.adapters.toml.exercise import read_exercise
from volplane.adapters.toml.source import HeldTexts
from volplane.domain.exercise.exercise import Exercise
from volplane.errors import Problem

NOW_UNIX_S = 1778767200.0  # 2026-05-14 14:00 UTC


def demo_text(name: str) -> str:
    """One of the demo's files."""
    return (importlib.resources.files("volplane") / "demo_data" / name).read_text(encoding="utf-8")


AIRPLANE = demo_text("dunlin_tourer.toml")
AIRFIELD = demo_text("quill_meadow.toml")
EXERCISE = """# an exercise for tests
airplane = "dunlin_tourer.toml"
airfield = "quill_meadow.toml"
runway = "25"
pattern = "left"
weight = "3350 lb"
date = "2026-05-14"
time = "14:00Z"

entry_height = "2600 ft"
low_key_height = "1500 ft"
touchdown_point = "1200 ft"

[weather]
qnh = "30.05 inHg"
temperature = "18 degC"
wind = [
    { height = "0 ft", from = "240 deg", speed = "8 kt" },
    { height = "3000 ft", from = "270 deg", speed = "18 kt" },
]
"""
SIX_NUMBERS = """
name = "Dunlin Tourer"
weights.maximum = "3650 lb"
glide = { best_speed = "109 kt", ratio = 9.6 }
stall = { clean = "68 kt", landing = "60 kt" }
"""
SHORTEST_EXERCISE = 'airplane = "dunlin_tourer.toml"\nairfield = "quill_meadow.toml"\nrunway = "25"\n'


@dataclass(frozen=True, slots=True)
class FixedVariation:
    """12 degrees west everywhere and always."""

    east_rad: float = -math.radians(12.0)

    def variation_east_rad(
        self, latitude_deg: float, longitude_deg: float, altitude_msl_m: float, time_unix_s: float
    ) -> float:
        return self.east_rad


def replaced(text: str, old: str, new: str) -> str:
    """The text with one passage replaced, which must be there."""
    assert old in text, old
    return text.replace(old, new)


def read(
    exercise: str = EXERCISE, airplane: str = AIRPLANE, airfield: str = AIRFIELD
) -> tuple[Exercise | None, tuple[Problem, ...]]:
    """The exercise of three texts."""
    held = HeldTexts({"dunlin_tourer.toml": airplane, "quill_meadow.toml": airfield})
    return read_exercise(exercise, "exercise.toml", held, FixedVariation(), NOW_UNIX_S)


def sound(exercise: str = EXERCISE, airplane: str = AIRPLANE, airfield: str = AIRFIELD) -> Exercise:
    """The exercise of three texts that hold no problem."""
    value, problems = read(exercise, airplane, airfield)
    assert problems == ()
    assert value is not None
    return value
