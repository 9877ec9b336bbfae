"""The ladder a trainee climbs, and which rung an exercise was, as far as a recording can tell.

Each rung adds one thing to the one below it. A recording tells from which gate an exercise began and from which side;
speed and trim aloft, turns about a point and surprise are known only from a lesson record that names them.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from enum import StrEnum

from volplane.domain.exercise.exercise import GateName
from volplane.domain.geometry.airfield import Side
from volplane.services.progress import FlownExercise
from volplane.units import KNOT_MPS

# from so much across the runway an exercise is one in crosswind; ours
CROSSWIND_MPS = 8.0 * KNOT_MPS
# so many exercises a sortie at most: after that attention and engine are tired (common practice, no source)
MOST_EXERCISES = 5


class Rung(StrEnum):
    """A rung of the ladder, from the ground up."""

    TRIM = "speed and trim aloft"
    POINT = "turns about a point"
    LOW_KEY = "from the low key"
    HIGH_KEY = "from the high key"
    CROSSWIND = "crosswind and the other side"
    SURPRISE = "surprise"

    @property
    def slug(self) -> str:
        """The rung in an address."""
        return self.name.lower().replace("_", "-")

    @property
    def number(self) -> int:
        """1 is the lowest."""
        return list(Rung).index(self) + 1


def rung_of_slug(slug: str) -> Rung | None:
    """The rung of an address, None where there is none."""
    return next((each for each in Rung if each.slug == slug), None)


def rung_told(gates: Collection[str], side: str, usual: str, crosswind_mps: float | None) -> Rung | None:
    """The rung an exercise was, by the gates it passed; `usual` is the side the trainee mostly flies.

    None where neither key was passed.
    """
    if GateName.LOW_KEY not in gates and GateName.HIGH_KEY not in gates:
        return None
    if side != usual or (crosswind_mps is not None and abs(crosswind_mps) >= CROSSWIND_MPS):
        return Rung.CROSSWIND
    return Rung.HIGH_KEY if GateName.HIGH_KEY in gates else Rung.LOW_KEY


def rung_flown(exercise: FlownExercise, usual: str) -> Rung | None:
    """The same of an exercise that was read with its gates."""
    gates = {each.gate for each in exercise.gates}
    return rung_told(gates, exercise.attempt.side, usual, exercise.attempt.crosswind_mps)


def usual_side(sides: Sequence[str]) -> str:
    """The side that is flown most, left where both are as often."""
    return Side.RIGHT if 2 * sides.count(Side.RIGHT) > len(sides) else Side.LEFT
