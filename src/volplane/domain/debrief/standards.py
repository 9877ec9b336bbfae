"""Standards as data: what is asked of an exercise, between which limits, who says so and in which edition.

The standards themselves are the table at the end of this module. An instructor's own comes from a file with the same
items. A standard judges only what was observed, and an item of another exercise than the one flown is told for
information.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from volplane.domain.debrief.results import StandardItem
from volplane.domain.exercise.exercise import Exercise
from volplane.errors import Refusal
from volplane.units import m_from_ft, mps_from_fpm, mps_from_kt, rad_from_deg

TOUCHDOWN = "touchdown beyond the point"
TOUCHDOWN_SINK = "sink at touchdown"
BREAK_OFF_SPEED = "speed at break-off against planned"
BREAK_OFF_BANK = "bank at break-off"
FINAL_HEIGHT = "height when established on final"
BANK_BELOW_LOW_KEY = "greatest bank below the low key"
GREATEST_BANK = "greatest bank"
SLOWEST = "slowest against best glide"
FASTEST = "fastest against best glide"
ABEAM_HEIGHT = "height abeam the point"
FULL_TURNS = "full turns"
ROLL_OUT = "roll-out against the wished direction"
LOWEST = "lowest height above the ground"

# what each item is measured in
ITEMS: Mapping[str, str] = {
    TOUCHDOWN: "length_m",
    TOUCHDOWN_SINK: "sink_mps",
    BREAK_OFF_SPEED: "speed_mps",
    BREAK_OFF_BANK: "angle_rad",
    FINAL_HEIGHT: "length_m",
    BANK_BELOW_LOW_KEY: "angle_rad",
    GREATEST_BANK: "angle_rad",
    SLOWEST: "speed_mps",
    FASTEST: "speed_mps",
    ABEAM_HEIGHT: "length_m",
    FULL_TURNS: "count",
    ROLL_OUT: "angle_rad",
    LOWEST: "length_m",
}

FROM_ABEAM = "flown-from-overhead"
TOO_NEAR = "too-near-to-tell"


class StandardUnknown(Refusal):
    """A standard by a name that nobody knows."""

    code = "standard-unknown"

    def __init__(self, name: str, known: tuple[str, ...]) -> None:
        super().__init__(f'no standard "{name}"; there are {", ".join(known)}')
        self.name = name
        self.known = known


@dataclass(frozen=True, slots=True)
class Rule:
    """One item of a standard. Limits are in SI and belong to the standard; None is no limit on that side.

    `quantity` says what the limits are: "length_m", "speed_mps", "sink_mps", "angle_rad", "count".
    `follows` names the value of the exercise that takes the place of the upper limit. `from_abeam` marks an item of an
    exercise that begins abeam the point; `needs_abeam` one that has no meaning in any other.
    """

    item: str
    limit_low: float | None
    limit_high: float | None
    quantity: str
    source: str
    follows: str = ""
    from_abeam: bool = False
    needs_abeam: bool = False


@dataclass(frozen=True, slots=True)
class Standard:
    """A standard: its name, its publisher and edition, its items."""

    name: str
    source: str
    edition: str
    rules: tuple[Rule, ...]

    def rules_for(self, exercise: Exercise) -> tuple[Rule, ...]:
        """Its rules, those that follow the exercise with the exercise's limit."""
        return tuple(
            replace(rule, limit_high=getattr(exercise, rule.follows)) if rule.follows else rule for rule in self.rules
        )


@dataclass(frozen=True, slots=True)
class Observed:
    """What was flown of an item, in SI, how far it may be off, or why it is not known."""

    value_si: float | None = None
    blur_si: float = 0.0
    reason: str | None = None


def judged(
    rules: tuple[Rule, ...], observed: Mapping[str, Observed], *, is_from_abeam: bool
) -> tuple[StandardItem, ...]:
    """The rules with the values flown. A limit itself is met; what was not observed is neither met nor missed.

    A value nearer to its limit than it may be off is not judged. `is_from_abeam` tells that the exercise began abeam
    the point, as the items of such a standard mean it.
    """
    return tuple(_judged(rule, observed.get(rule.item, Observed()), is_from_abeam) for rule in rules)


def _judged(rule: Rule, seen: Observed, is_from_abeam: bool) -> StandardItem:
    def item(value: float | None, is_met: bool | None, reason: str | None) -> StandardItem:
        for_information = rule.from_abeam and not is_from_abeam
        return StandardItem(
            rule.item,
            rule.limit_low,
            rule.limit_high,
            value,
            rule.quantity,
            is_met,
            rule.source,
            reason,
            for_information,
        )

    if rule.needs_abeam and not is_from_abeam:
        return item(None, None, FROM_ABEAM)
    if seen.value_si is None or not math.isfinite(seen.value_si):
        return item(None, None, seen.reason)
    low = -math.inf if rule.limit_low is None else rule.limit_low
    high = math.inf if rule.limit_high is None else rule.limit_high
    # a limit converted from feet and back is still the limit
    slack = 1e-9 * max(abs(seen.value_si), 1.0)
    if min(abs(seen.value_si - low), abs(seen.value_si - high)) < seen.blur_si:
        return item(seen.value_si, None, TOO_NEAR)
    return item(seen.value_si, low - slack <= seen.value_si <= high + slack, None)


_ACS_EDITION = "FAA-S-ACS-7B"
_ACS = f"FAA, Commercial Pilot - Airplane Airman Certification Standards, {_ACS_EDITION}"
_HANDBOOK = "FAA, Airplane Flying Handbook"
_OURS = "this program's lesson standard"
_TEN_KNOTS = mps_from_kt(10.0)


def _near_best_glide(source: str) -> tuple[Rule, Rule]:
    """Within ten knots of best glide, from the slowest to the fastest."""
    return (
        Rule(SLOWEST, -_TEN_KNOTS, _TEN_KNOTS, "speed_mps", source),
        Rule(FASTEST, -_TEN_KNOTS, _TEN_KNOTS, "speed_mps", source),
    )


LESSON = Standard(
    "lesson",
    _OURS,
    "1",
    (
        Rule(TOUCHDOWN, 0.0, m_from_ft(200.0), "length_m", _OURS),
        Rule(BREAK_OFF_SPEED, -mps_from_kt(5.0), _TEN_KNOTS, "speed_mps", _OURS),
        Rule(BREAK_OFF_BANK, None, rad_from_deg(30.0), "angle_rad", _OURS),
        Rule(FINAL_HEIGHT, m_from_ft(300.0), None, "length_m", f"{_HANDBOOK}, 360-degree overhead approach"),
        Rule(BANK_BELOW_LOW_KEY, None, None, "angle_rad", _OURS, follows="maximum_bank_below_low_key_rad"),
        Rule(TOUCHDOWN_SINK, None, mps_from_fpm(500.0), "sink_mps", f"{_HANDBOOK}, touchdown sink that harms"),
    ),
)

COMMERCIAL_180 = Standard(
    "commercial power-off 180",
    _ACS,
    _ACS_EDITION,
    (
        Rule(TOUCHDOWN, 0.0, m_from_ft(200.0), "length_m", _ACS, from_abeam=True),
        Rule(
            ABEAM_HEIGHT,
            None,
            m_from_ft(1000.0),
            "length_m",
            f"{_HANDBOOK}, 180-degree power-off approach",
            from_abeam=True,
            needs_abeam=True,
        ),
    ),
)

# the standard gives no figure for the touchdown, so there is none here
SIMULATED_EMERGENCY = Standard("simulated emergency approach", _ACS, _ACS_EDITION, _near_best_glide(_ACS))

STEEP_SPIRAL = Standard(
    "steep spiral",
    _ACS,
    _ACS_EDITION,
    (
        Rule(FULL_TURNS, 3.0, None, "count", _ACS),
        Rule(GREATEST_BANK, None, rad_from_deg(60.0), "angle_rad", _ACS),
        *_near_best_glide(_ACS),
        Rule(ROLL_OUT, -rad_from_deg(10.0), rad_from_deg(10.0), "angle_rad", _ACS),
        Rule(LOWEST, m_from_ft(1500.0), None, "length_m", _ACS),
    ),
)

STANDARDS: Mapping[str, Standard] = {
    standard.name: standard for standard in (LESSON, COMMERCIAL_180, SIMULATED_EMERGENCY, STEEP_SPIRAL)
}


def standard_named(name: str) -> Standard:
    """The standard of a name. :raises StandardUnknown: there is none."""
    try:
        return STANDARDS[name]
    except KeyError:
        raise StandardUnknown(name, tuple(STANDARDS)) from None
