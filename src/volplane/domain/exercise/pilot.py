"""A pilot who sees where the glide leads and puts it right: what is seen becomes bank, speed and configuration.

The pilot of the dispersion flies the plan's legs. Every `look_s` he compares his height with the one the plan has at
this place, by the picture of where the glide leads and by the altimeter, and at the next look acts on what he saw at
this one:

- circles before the high key he widens when high and tightens when low, one after another;
- after the first third of the half turn he puts its rest right, so that it ends where the sight mark says;
- on downwind he angles in when low, turns to base earlier when low and later when high (extends), up to the exercise's
  distance limit, and always early enough, by the altimeter, to have the last turn behind him where it must be complete;
- on base he steers in when low and away when high (widens); too high for what the final can still lose, he lets gear
  and flap out early;
- on final he loses more or less of the reserve, by more than the reserve with slip or S-turns; too low, he stays clean
  down to `latest_landing_height_m`.

At the break-off height the picture must be right and at the height where the final is to be complete he must be on it,
or he goes around. He stretches no glide and trades no speed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, fields

from volplane.units import FOOT_M, KNOT_MPS


@dataclass(frozen=True, slots=True)
class Pilot:
    """How a pilot looks, corrects and gives up. All defaults are ours; the break-off rule is the plan's.

    `look_s` is the time from one look to the next: what was seen is acted on between one and two looks later.
    `early_drag_factor` is the part of the landing configuration's extra drag he may hang out before the final;
    `more_drag_factor` the parasite drag he can add on final beyond what loses the reserve (a slip, S-turns), in parts
    of the clean one. `cut_reserve_fraction`: he steers in when low by more than this part of the reserve, by at most
    `cut_angle_rad`, and away by at most `widen_angle_rad`. He turns early enough to be on final with `room_on_final_m`
    to spare, and aims `aims_beyond_m` beyond the point: for the middle of the zone, not for its edge.
    Until the break-off height he trusts the picture by `picture_weight_fraction`, else the altimeter on the card's
    heights. No bank is read closer than `reads_bank_rad`, no speed
    closer than `reads_airspeed_mps`.
    `accepts_short_m` and `accepts_long_m`: touchdowns he still accepts at break-off, before and beyond that.
    """

    look_s: float = 2.0
    early_drag_factor: float = 0.5
    more_drag_factor: float = 1.5
    cut_angle_rad: float = math.radians(30.0)
    widen_angle_rad: float = math.radians(20.0)
    cut_reserve_fraction: float = 0.5
    latest_landing_height_m: float = 200.0 * FOOT_M
    room_on_final_m: float = 80.0 * FOOT_M
    aims_beyond_m: float = 100.0 * FOOT_M
    picture_weight_fraction: float = 0.5
    reads_bank_rad: float = math.radians(2.5)
    reads_airspeed_mps: float = 2.0 * KNOT_MPS
    accepts_short_m: float = 300.0 * FOOT_M
    accepts_long_m: float = 700.0 * FOOT_M

    def __post_init__(self) -> None:
        for each in fields(self):
            value = getattr(self, each.name)
            if not (math.isfinite(value) and value >= 0.0):
                raise ValueError(f"{each.name} is {value}; it must be a number of nought or more")
        if self.picture_weight_fraction > 1.0:
            raise ValueError(f"picture_weight_fraction is {self.picture_weight_fraction}; it must be 1 or less")
        if self.look_s <= 0.0:
            raise ValueError(f"look_s is {self.look_s} s; a pilot who never looks corrects nothing")
        for name in ("cut_angle_rad", "widen_angle_rad"):
            if getattr(self, name) >= 0.5 * math.pi:
                raise ValueError(f"{name} is {getattr(self, name)}; it must be under a quarter circle")
