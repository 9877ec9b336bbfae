"""From which figure on a plan is worth a word, a reason or no card: every threshold with its status and source.

The figures are settings of an exercise (`Thresholds`); what each means and how well it is founded is data (`ABOUT`), so
that documents and tests can print it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from volplane.domain.finding import Severity
from volplane.units import FOOT_M, FOOT_PER_MINUTE_MPS, KNOT_MPS, STATUTE_MILE_M


@dataclass(frozen=True, slots=True)
class Thresholds:
    """The figures from which on a plan's finding weighs as caution or stop; `ABOUT` tells where each comes from."""

    tailwind_caution_mps: float = 3.0 * KNOT_MPS
    tailwind_stop_mps: float = 5.0 * KNOT_MPS
    crosswind_caution_fraction: float = 0.8
    gust_spread_caution_mps: float = 10.0 * KNOT_MPS
    gust_spread_stop_mps: float = 15.0 * KNOT_MPS
    entry_wind_caution_mps: float = 30.0 * KNOT_MPS
    cloud_clearance_m: float = 500.0 * FOOT_M
    visibility_caution_m: float = 5.0 * STATUTE_MILE_M
    visibility_stop_m: float = 3.0 * STATUTE_MILE_M
    sun_caution_rad: float = math.radians(-50.0 / 60.0)
    sun_stop_rad: float = math.radians(-6.0)
    go_around_climb_caution_mps: float = 300.0 * FOOT_PER_MINUTE_MPS
    go_around_climb_stop_mps: float = 200.0 * FOOT_PER_MINUTE_MPS
    stall_margin_caution_fraction: float = 0.2
    turn_to_final_height_m: float = 300.0 * FOOT_M
    break_off_height_m: float = 500.0 * FOOT_M
    aim_beyond_threshold_m: float = 300.0 * FOOT_M
    roll_spare_fraction: float = 0.3
    surplus_height_m: float = 50.0 * FOOT_M
    thin_air_note_fraction: float = 0.05
    report_age_note_s: float = 7200.0
    short_of_runway_caution_fraction: float = 0.02
    short_of_runway_stop_fraction: float = 0.05


class Status(StrEnum):
    """How well a threshold is founded."""

    PUBLISHED = "published"
    COMMON_PRACTICE = "common practice"
    OURS = "ours"


@dataclass(frozen=True, slots=True)
class About:
    """What a threshold is: `name` is the field of `Thresholds`, `finding` the code of the finding it raises."""

    name: str
    finding: str
    severity: Severity
    status: Status
    source: str
    meaning: str


_NOTE, _CAUTION, _STOP = Severity.NOTE, Severity.CAUTION, Severity.STOP
_PUBLISHED, _PRACTICE, _OURS = Status.PUBLISHED, Status.COMMON_PRACTICE, Status.OURS
_NO_SOURCE = "common practice, no source"
_CHOSEN = "chosen for this program"

ABOUT: tuple[About, ...] = (
    About("tailwind_caution_mps", "tailwind", _CAUTION, _PRACTICE, _NO_SOURCE, "tailwind with its gusts, more than"),
    About("tailwind_stop_mps", "tailwind", _STOP, _PRACTICE, _NO_SOURCE, "tailwind with its gusts, more than"),
    About(
        "crosswind_caution_fraction",
        "crosswind",
        _CAUTION,
        _OURS,
        _CHOSEN,
        "crosswind with its gusts in parts of the airplane's figure, more than; the whole figure is a stop",
    ),
    About("gust_spread_caution_mps", "gusts", _CAUTION, _PRACTICE, _NO_SOURCE, "gust less mean wind, from"),
    About("gust_spread_stop_mps", "gusts", _STOP, _PRACTICE, _NO_SOURCE, "gust less mean wind, from"),
    About("entry_wind_caution_mps", "strong-wind-at-entry", _CAUTION, _OURS, _CHOSEN, "wind at entry, more than"),
    About(
        "cloud_clearance_m",
        "cloud",
        _CAUTION,
        _PUBLISHED,
        "14 CFR 91.155, distance below clouds (from memory); cloud at or under the entry itself is a stop",
        "broken or overcast cloud above the entry, less than",
    ),
    About("visibility_caution_m", "visibility", _CAUTION, _OURS, _CHOSEN, "visibility, less than"),
    About("visibility_stop_m", "visibility", _STOP, _PUBLISHED, "14 CFR 91.155 (from memory)", "visibility, less than"),
    About(
        "sun_caution_rad",
        "night",
        _CAUTION,
        _PRACTICE,
        "sunset: the sun's upper rim on the horizon, 50 minutes of arc, usual refraction (from memory)",
        "elevation of the sun, less than",
    ),
    About(
        "sun_stop_rad",
        "night",
        _STOP,
        _PUBLISHED,
        "14 CFR 1.1, night begins with the end of evening civil twilight (from memory)",
        "elevation of the sun, less than",
    ),
    About("go_around_climb_caution_mps", "go-around-climb", _CAUTION, _OURS, _CHOSEN, "climb, less than"),
    About("go_around_climb_stop_mps", "go-around-climb", _STOP, _OURS, _CHOSEN, "climb, less than"),
    About(
        "stall_margin_caution_fraction",
        "near-stall",
        _CAUTION,
        _OURS,
        "chosen for this program; the exercise's own stall_margin is refused outright",
        "speed above the clean stall in the tightest turn, less than",
    ),
    About(
        "turn_to_final_height_m",
        "low-turn-to-final",
        _CAUTION,
        _PUBLISHED,
        "FAA Airplane Flying Handbook, 360-degree overhead approach: complete by 300 ft",
        "height where the turn to final is complete, less than",
    ),
    About(
        "break_off_height_m",
        "low-break-off",
        _CAUTION,
        _PUBLISHED,
        "FAA practical test standards, simulated emergencies",
        "break-off height, less than",
    ),
    About(
        "aim_beyond_threshold_m",
        "aim-point-near-threshold",
        _CAUTION,
        _PRACTICE,
        f"{_NO_SOURCE}; before the threshold is a stop",
        "aim point beyond the threshold, less than",
    ),
    About(
        "roll_spare_fraction",
        "little-runway-left",
        _CAUTION,
        _OURS,
        "chosen for this program; less than the roll itself is a stop",
        "runway beyond the touchdown point, in parts of the landing roll on top of it, less than",
    ),
    About("surplus_height_m", "nothing-to-spare", _CAUTION, _OURS, _CHOSEN, "spare before the low key, less than"),
    About(
        "thin_air_note_fraction",
        "sea-level-habit",
        _NOTE,
        _OURS,
        _CHOSEN,
        "height a turn costs on top of that in standard air at sea level, from",
    ),
    About(
        "report_age_note_s",
        "report-not-of-this-hour",
        _NOTE,
        _OURS,
        _CHOSEN,
        "time between weather report and exercise, more than",
    ),
    About(
        "short_of_runway_caution_fraction",
        "short-of-runway",
        _CAUTION,
        _OURS,
        _CHOSEN,
        "chance of landing short of the runway when the plan is flown many times, more than",
    ),
    About(
        "short_of_runway_stop_fraction",
        "short-of-runway",
        _STOP,
        _OURS,
        _CHOSEN,
        "chance of landing short of the runway when the plan is flown many times, more than",
    ),
)
