"""A pilot who sees where the glide leads and puts it right: what is seen becomes bank, speed and configuration.

The pilot of the dispersion flies the plan's legs. Every `look_s` he compares his height with the one the plan has at
this place, through a picture that is off, and at the next look acts on what he saw at this one:

- on downwind, he turns to base earlier when low and later when high (extends), up to the exercise's distance limit;
- in the turn to base and on base, too high for what the final can still lose, he lets the drag out early;
- on a straight base, low by more than a part of the reserve, he cuts the corner;
- on final he loses more or less of the reserve; far too low, he stays clean down to `latest_landing_height_m`.

At the break-off height the picture must be right and at the height where the final is to be complete he must be on it,
or he goes around. He flies no S-turns, stretches no glide and does not change the half turn on the way round.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, fields

from volplane.units import FOOT_M


@dataclass(frozen=True, slots=True)
class Pilot:
    """How a pilot looks, corrects and gives up. All defaults are ours; the break-off rule is the plan's.

    `look_s` is the time from one look to the next: what was seen is acted on between one and two looks later.
    `early_drag_factor` is the part of the landing configuration's extra drag he may hang out before the final;
    `more_drag_factor` the parasite drag he can add on final beyond what loses the reserve (a slip, S-turns), in parts
    of the clean one. `cut_reserve_fraction`: he cuts the corner when low by more than this part of the reserve.
    He turns early enough to be on final with `room_on_final_m` to spare. `accepts_short_m` and `accepts_long_m`:
    touchdowns he still accepts at break-off, before and beyond the point.
    """

    look_s: float = 2.0
    early_drag_factor: float = 0.5
    more_drag_factor: float = 1.0
    cut_angle_rad: float = math.radians(30.0)
    cut_reserve_fraction: float = 0.5
    latest_landing_height_m: float = 200.0 * FOOT_M
    room_on_final_m: float = 50.0 * FOOT_M
    accepts_short_m: float = 300.0 * FOOT_M
    accepts_long_m: float = 500.0 * FOOT_M

    def __post_init__(self) -> None:
        for each in fields(self):
            value = getattr(self, each.name)
            if not (math.isfinite(value) and value >= 0.0):
                raise ValueError(f"{each.name} is {value}; it must be a number of nought or more")
        if self.look_s <= 0.0:
            raise ValueError(f"look_s is {self.look_s} s; a pilot who never looks corrects nothing")
        if self.cut_angle_rad >= 0.5 * math.pi:
            raise ValueError(f"cut_angle_rad is {self.cut_angle_rad}; it must be under a quarter circle")
