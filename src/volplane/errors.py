"""Faults as data and refusals as exceptions; the faces turn both into sentences.

A `Problem` is a fault in somebody's file. A `Refusal` is a request that cannot be answered; each cause has its own
class that holds SI values, never a sentence in trade units.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar


@dataclass(frozen=True, slots=True)
class Problem:
    """One fault in an input: where it is, what stands there, what was expected, and what to do.

    `file` names the file as the user gave it, `place` the key or line in it, `code` is stable for programs.
    """

    file: str
    place: str
    found: str
    expected: str
    remedy: str
    code: str

    def sentence(self) -> str:
        """The problem as one plain sentence."""
        place = f"{self.file}, {self.place}" if self.place else self.file
        return f"{place}: found {self.found}, expected {self.expected}. {self.remedy}"


class Refusal(Exception):
    """Base of every refusal: a request that was understood and cannot be answered."""

    code: ClassVar[str] = "refused"


class FilesRefused(Refusal):
    """Input files hold problems; all of them are listed."""

    code = "files-refused"

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        super().__init__("; ".join(problem.sentence() for problem in problems))
        self.problems = problems


class WindNotBelowAirspeed(Refusal):
    """The wind is as strong as the airspeed: the airplane cannot make way against it."""

    code = "wind-not-below-airspeed"

    def __init__(self, wind_mps: float, airspeed_mps: float, height_above_field_m: float) -> None:
        super().__init__(f"wind {wind_mps:.1f} m/s, airspeed {airspeed_mps:.1f} m/s at {height_above_field_m:.0f} m")
        self.wind_mps = wind_mps
        self.airspeed_mps = airspeed_mps
        self.height_above_field_m = height_above_field_m
