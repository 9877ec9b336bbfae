"""Standards as data: what is asked of an exercise, between which limits, and who says so."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from volplane.domain.debrief.results import StandardItem
from volplane.domain.exercise.exercise import Exercise
from volplane.units import m_from_ft, mps_from_kt, rad_from_deg

TOUCHDOWN = "touchdown beyond the point"
BREAK_OFF_SPEED = "speed at break-off against planned"
BREAK_OFF_BANK = "bank at break-off"
FINAL_HEIGHT = "height when established on final"
BANK_BELOW_LOW_KEY = "greatest bank below the low key"
GREATEST_BANK = "greatest bank"
SLOWEST = "slowest against best glide"
FASTEST = "fastest against best glide"

_ACS = "FAA-S-ACS-7B, Commercial Pilot Airman Certification Standards"
_HANDBOOK = "FAA Airplane Flying Handbook, 360-degree overhead approach"
_OURS = "this program's lesson standard"


@dataclass(frozen=True, slots=True)
class Rule:
    """One item of a standard. Limits are in SI and belong to the standard; None is no limit on that side.

    `quantity` says what the limits are: "length_m", "speed_mps", "angle_rad".
    """

    item: str
    limit_low: float | None
    limit_high: float | None
    quantity: str
    source: str


def rules_of(exercise: Exercise) -> tuple[Rule, ...]:
    """The rules of the exercise's standard; empty for a standard this program does not know."""
    zone = Rule(TOUCHDOWN, 0.0, m_from_ft(200.0), "length_m", _ACS)
    ten_knots = mps_from_kt(10.0)
    known: Mapping[str, tuple[Rule, ...]] = {
        "lesson": (
            Rule(TOUCHDOWN, 0.0, m_from_ft(200.0), "length_m", _OURS),
            Rule(BREAK_OFF_SPEED, -mps_from_kt(5.0), ten_knots, "speed_mps", _OURS),
            Rule(BREAK_OFF_BANK, None, rad_from_deg(30.0), "angle_rad", _OURS),
            Rule(FINAL_HEIGHT, m_from_ft(300.0), None, "length_m", _HANDBOOK),
            Rule(BANK_BELOW_LOW_KEY, None, exercise.maximum_bank_below_low_key_rad, "angle_rad", _OURS),
        ),
        "commercial power-off 180": (zone,),
        "simulated emergency approach": (
            Rule(SLOWEST, -ten_knots, ten_knots, "speed_mps", _ACS),
            Rule(FASTEST, -ten_knots, ten_knots, "speed_mps", _ACS),
        ),
        "steep spiral": (
            Rule(GREATEST_BANK, None, rad_from_deg(60.0), "angle_rad", _ACS),
            Rule(SLOWEST, -ten_knots, ten_knots, "speed_mps", _ACS),
            Rule(FASTEST, -ten_knots, ten_knots, "speed_mps", _ACS),
        ),
    }
    return known.get(exercise.standard, ())


def judged(
    rules: tuple[Rule, ...], values: Mapping[str, float | None], blur: Mapping[str, float] | None = None
) -> tuple[StandardItem, ...]:
    """The rules with the values flown, in SI. A limit itself is met; what was not observed is neither met nor not.

    `blur` says by item how far the recording may be off: a value nearer than that to its limit is not judged.
    """
    return tuple(_judged(rule, values.get(rule.item), (blur or {}).get(rule.item, 0.0)) for rule in rules)


def _judged(rule: Rule, value: float | None, blur: float) -> StandardItem:
    is_met = None
    if value is not None and math.isfinite(value):
        low = -math.inf if rule.limit_low is None else rule.limit_low
        high = math.inf if rule.limit_high is None else rule.limit_high
        # a limit converted from feet and back is still the limit
        slack = 1e-9 * max(abs(value), 1.0)
        is_met = low - slack <= value <= high + slack
        if min(abs(value - low), abs(value - high)) < blur:
            is_met = None
    return StandardItem(rule.item, rule.limit_low, rule.limit_high, value, rule.quantity, is_met, rule.source)
