"""Airfields and runway ends as data."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Literal

from volplane.errors import Refusal


class Side(StrEnum):
    """The side of the landing direction on which the pattern lies."""

    LEFT = "left"
    RIGHT = "right"

    @property
    def sign(self) -> Literal[-1, 1]:
        """+1 for a left pattern (positive y of the runway frame), -1 for a right one."""
        return 1 if self is Side.LEFT else -1


class RunwayUnknown(Refusal):
    """The airfield has no runway end of that name."""

    code = "runway-unknown"

    def __init__(self, name: str, airfield: str, known: tuple[str, ...]) -> None:
        super().__init__(f"{airfield} has no runway {name}; it has {', '.join(known)}")
        self.name = name
        self.airfield = airfield
        self.known = known


@dataclass(frozen=True, slots=True)
class Runway:
    """One runway end, seen in its landing direction.

    The threshold is the landing (displaced) threshold; `length_m` is the landing distance available beyond it.
    """

    name: str
    threshold_latitude_deg: float
    threshold_longitude_deg: float
    bearing_true_rad: float
    length_m: float
    elevation_msl_m: float
    pattern: Side = Side.LEFT


@dataclass(frozen=True, slots=True)
class Airfield:
    """An airfield with its runway ends; a height that is not published is None.

    `variation_east_rad` is magnetic variation, east positive. The practice floor is an altitude that plays the ground.
    """

    name: str
    elevation_msl_m: float
    variation_east_rad: float
    runways: tuple[Runway, ...]
    traffic_pattern_height_m: float | None = None
    airspace_ceiling_msl_m: float | None = None
    practice_floor_msl_m: float | None = None

    def runway(self, name: str) -> Runway:
        """The runway end of that name; RunwayUnknown when there is none."""
        for runway in self.runways:
            if runway.name == name:
                return runway
        raise RunwayUnknown(name, self.name, tuple(runway.name for runway in self.runways))
