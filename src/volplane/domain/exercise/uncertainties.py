"""What is not known before an exercise is flown: the sources of dispersion as data, each with where it comes from.

No published distribution of power-off touchdowns or of the bank a pilot holds was found, so the sizes are ours. They
are meant to be changed: make another value with `dataclasses.replace`. Each is one standard deviation of a normal law
unless its line in `SOURCES` says otherwise.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, fields, replace
from enum import StrEnum

from volplane.units import FOOT_M, KNOT_MPS

# how many flights a dispersion takes, and how far its seeds go
FEWEST_RUNS, MOST_RUNS = 100, 200_000
LARGEST_SEED = 2**32 - 1


class Source(StrEnum):
    """A cause of dispersion that can be switched off to see what it matters."""

    WIND = "wind"
    GLIDE = "glide ratio"
    RISING_AIR = "rising and sinking air"
    ENTRY = "height over the high key"
    FIRST_TURN = "bank of the half turn"
    BANK = "bank held"
    AIRSPEED = "airspeed held"
    TIMING = "moment of the turn to base"
    PICTURE = "picture of the glide"
    OFFSET = "distance of the downwind leg"
    ALTIMETER = "altimeter as read"
    LANDING = "round-out and float"


@dataclass(frozen=True, slots=True)
class Uncertainties:
    """Standard deviations of everything the dispersion varies.

    Wind: every level's speed is off by a part of itself, at least `wind_least_mps`, and turned, all levels alike.
    Glide: the ratio is off by a part of itself. Rising air and held airspeed and bank wander with a memory. A steady
    airspeed error comes on top. The bank of the half turn is off by a part of itself and stays between two banks.
    The picture: the place the pilot believes to be gliding to is off by a part of the ground distance left, by another
    part at the break-off height and below. The downwind leg is flown wide or close by a part of its distance, because
    the sight mark is. The altimeter is read off by so much, always alike. Landing: scatter of round-out and float
    beyond what the speed explains.
    """

    wind_speed_fraction: float = 0.25
    wind_least_mps: float = 3.0 * KNOT_MPS
    wind_direction_rad: float = math.radians(15.0)
    glide_ratio_fraction: float = 0.05
    rising_air_mps: float = 1.0 * FOOT_M
    rising_air_memory_s: float = 30.0
    entry_height_m: float = 50.0 * FOOT_M
    first_turn_bank_fraction: float = 5.0 / 30.0
    first_turn_least_bank_rad: float = math.radians(15.0)
    first_turn_greatest_bank_rad: float = math.radians(45.0)
    bank_wander_rad: float = math.radians(1.5)
    bank_memory_s: float = 5.0
    airspeed_bias_mps: float = 3.0 * KNOT_MPS
    airspeed_wander_mps: float = 2.0 * KNOT_MPS
    airspeed_memory_s: float = 10.0
    timing_s: float = 3.0
    picture_fraction: float = 0.10
    picture_low_fraction: float = 0.03
    offset_fraction: float = 0.05
    altimeter_m: float = 20.0 * FOOT_M
    landing_m: float = 200.0 * FOOT_M

    def __post_init__(self) -> None:
        for each in fields(self):
            value = getattr(self, each.name)
            if not (math.isfinite(value) and value >= 0.0):
                raise ValueError(f"{each.name} is {value}; a standard deviation is a number of nought or more")
            if each.name.endswith("memory_s") and value <= 0.0:
                raise ValueError(f"{each.name} is {value} s; what wanders needs a memory")

    def without(self, source: Source) -> Uncertainties:
        """The same with one source switched off."""
        return replace(self, **dict.fromkeys(_FIELDS[source], 0.0))

    @classmethod
    def none(cls) -> Uncertainties:
        """Everything known and held to perfection."""
        return cls(**{name: 0.0 for names in _FIELDS.values() for name in names})


_FIELDS: dict[Source, tuple[str, ...]] = {
    Source.WIND: ("wind_speed_fraction", "wind_least_mps", "wind_direction_rad"),
    Source.GLIDE: ("glide_ratio_fraction",),
    Source.RISING_AIR: ("rising_air_mps",),
    Source.ENTRY: ("entry_height_m",),
    Source.FIRST_TURN: ("first_turn_bank_fraction",),
    Source.BANK: ("bank_wander_rad",),
    Source.AIRSPEED: ("airspeed_bias_mps", "airspeed_wander_mps"),
    Source.TIMING: ("timing_s",),
    Source.PICTURE: ("picture_fraction", "picture_low_fraction"),
    Source.OFFSET: ("offset_fraction",),
    Source.ALTIMETER: ("altimeter_m",),
    Source.LANDING: ("landing_m",),
}

# where each number comes from; all of them are ours, and say what they rest on
SOURCES: dict[Source, str] = {
    Source.WIND: "ours: 25 % of the speed, at least 3 kt, and 15 degrees: a report is old and taken at one place",
    Source.GLIDE: "ours: 5 %, about what an airplane's own ratio is known to after a morning of glides",
    Source.RISING_AIR: "ours: 1 ft/s with a memory of 30 s",
    Source.ENTRY: "ours: 50 ft, half the altimeter's hundred-foot mark",
    Source.FIRST_TURN: "ours: 5 degrees at 30, in proportion at other banks, between 15 and 45 degrees",
    Source.BANK: "ours: 1.5 degrees with a memory of 5 s",
    Source.AIRSPEED: "ours: a steady 3 kt, and 2 kt with a memory of 10 s; a third of the gust spread adds in squares",
    Source.TIMING: "ours: 3 s early or late",
    Source.PICTURE: "ours: 10 % of the distance left down to the break-off height, 3 % from there on",
    Source.OFFSET: "ours: 5 % of its distance from the runway, about a hand's breadth on the wing",
    Source.ALTIMETER: "ours: 20 ft, a mark of the scale",
    Source.LANDING: "ours: 200 ft beyond what speed and wind explain",
}
