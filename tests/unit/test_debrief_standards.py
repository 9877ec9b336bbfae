"""Standards: the published limits, what is judged, what is not and why."""

from __future__ import annotations

import dataclasses

import pytest

from tests.checks.records import assert_check, check
from tests.faces import fixtures
from volplane.domain.debrief.results import StandardItem
from volplane.domain.debrief.standards import (
    ABEAM_HEIGHT,
    BANK_BELOW_LOW_KEY,
    FASTEST,
    FULL_TURNS,
    GREATEST_BANK,
    ITEMS,
    LESSON,
    LOWEST,
    ROLL_OUT,
    SLOWEST,
    STANDARDS,
    TOUCHDOWN,
    TOUCHDOWN_SINK,
    Observed,
    Rule,
    StandardUnknown,
    judged,
    standard_named,
)
from volplane.units import fpm_from_mps, ft_from_m, kt_from_mps, m_from_ft, rad_from_deg

ZONE_LOW = check(
    "F1a",
    "least touchdown beyond the point that meets the power-off 180",
    0.0,
    "ft",
    0.0,
    "a limit is exact",
    "FAA-S-ACS-7B, power-off 180 accuracy approach: within 200 ft beyond or on the specified point",
    "P",
)
ZONE_HIGH = check(
    "F1b",
    "greatest touchdown beyond the point that meets the power-off 180",
    200.0,
    "ft",
    1e-9,
    "a limit is exact; feet to metres and back rounds",
    "FAA-S-ACS-7B, power-off 180 accuracy approach: within 200 ft beyond or on the specified point",
    "P",
)
GLIDE_SPEED = check(
    "F2a",
    "how far the speed may be from best glide in a simulated emergency approach",
    10.0,
    "kt",
    1e-9,
    "a limit is exact; knots to metres per second and back rounds",
    "FAA airman certification standards, emergency approach and landing (simulated)",
    "P",
)


SPIRAL_SOURCE = "FAA-S-ACS-7B, steep spiral"
EXACT = "a limit is exact; units there and back round"
SPIRAL = {
    "turns": check("F3a", "full turns of a steep spiral", 3.0, "turns", 0.0, "a count", SPIRAL_SOURCE, "P"),
    "bank": check(
        "F3b",
        "greatest bank of a steep spiral",
        60.0,
        "deg",
        1e-9,
        "a limit is exact",
        "FAA-S-ACS-7B, steep spiral",
        "P",
    ),
    "speed": check(
        "F3c",
        "speed either side in a steep spiral",
        10.0,
        "kt",
        1e-9,
        "a limit is exact",
        "FAA-S-ACS-7B, steep spiral",
        "P",
    ),
    "roll": check("F3d", "roll-out of a steep spiral", 10.0, "deg", 1e-9, EXACT, SPIRAL_SOURCE, "P"),
    "lowest": check(
        "F3e",
        "least height above the ground of a steep spiral",
        1500.0,
        "ft",
        1e-9,
        "a limit is exact; one note disputes this floor",
        "FAA-S-ACS-7B, steep spiral",
        "P",
    ),
}
ABEAM = check(
    "F5c",
    "greatest height abeam the point of a 180-degree power-off approach",
    1000.0,
    "ft",
    1e-9,
    "a limit is exact",
    "FAA Airplane Flying Handbook, 180-degree power-off approach",
    "P",
)
HARD = check(
    "F8",
    "sink at touchdown from which on it harms (well over it, says the handbook)",
    500.0,
    "fpm",
    1e-9,
    "a limit is exact",
    "FAA Airplane Flying Handbook",
    "P",
)


def rule_for(standard: str, item: str) -> Rule:
    return next(rule for rule in standard_named(standard).rules_for(fixtures.exercise()) if rule.item == item)


def judge(standard: str, item: str, seen: Observed, *, is_from_abeam: bool = True) -> StandardItem:
    (found,) = judged((rule_for(standard, item),), {item: seen}, is_from_abeam=is_from_abeam)
    return found


@pytest.mark.parametrize("beyond_ft, met", [(-1.0, False), (0.0, True), (200.0, True), (201.0, False)])
def test_the_power_off_180_is_met_from_the_point_to_200_ft_beyond_it(beyond_ft: float, met: bool) -> None:
    item = judge("commercial power-off 180", TOUCHDOWN, Observed(m_from_ft(beyond_ft)))
    assert item.is_met is met
    assert "FAA-S-ACS-7B" in item.source
    assert not item.is_for_information


def test_the_limits_of_the_standards_are_the_published_ones() -> None:
    zone = rule_for("commercial power-off 180", TOUCHDOWN)
    assert zone.limit_low is not None
    assert zone.limit_high is not None
    assert_check(ZONE_LOW, ft_from_m(zone.limit_low))
    assert_check(ZONE_HIGH, ft_from_m(zone.limit_high))
    assert_check(ABEAM, ft_from_m(rule_for("commercial power-off 180", ABEAM_HEIGHT).limit_high or 0.0))
    for item in (SLOWEST, FASTEST):
        speed = rule_for("simulated emergency approach", item)
        assert_check(GLIDE_SPEED, kt_from_mps(speed.limit_high or 0.0))
        assert speed.limit_low == -(speed.limit_high or 0.0)


def test_the_steep_spiral_asks_what_is_published() -> None:
    def limit(item: str) -> float:
        rule = rule_for("steep spiral", item)
        return (rule.limit_high if rule.limit_low is None or item == ROLL_OUT else rule.limit_low) or 0.0

    assert_check(SPIRAL["turns"], limit(FULL_TURNS))
    assert_check(SPIRAL["bank"], limit(GREATEST_BANK) / rad_from_deg(1.0))
    assert_check(SPIRAL["speed"], kt_from_mps(-limit(SLOWEST)))
    assert_check(SPIRAL["roll"], limit(ROLL_OUT) / rad_from_deg(1.0))
    assert_check(SPIRAL["lowest"], ft_from_m(limit(LOWEST)))


def test_a_touchdown_that_harms_is_not_met_by_the_lesson() -> None:
    assert_check(HARD, fpm_from_mps(rule_for("lesson", TOUCHDOWN_SINK).limit_high or 0.0))


def test_no_touchdown_number_is_invented_for_the_simulated_emergency() -> None:
    assert TOUCHDOWN not in {rule.item for rule in STANDARDS["simulated emergency approach"].rules}


def test_every_standard_has_its_source_and_edition_and_known_items() -> None:
    for name, standard in STANDARDS.items():
        assert name == standard.name
        assert standard.source
        assert standard.edition
        for rule in standard.rules:
            assert ITEMS[rule.item] == rule.quantity
            assert rule.source


def test_what_was_not_observed_is_neither_met_nor_missed_and_says_why() -> None:
    item = judge("simulated emergency approach", SLOWEST, Observed(reason="no-airspeed-recorded"))
    assert (item.value, item.is_met, item.reason) == (None, None, "no-airspeed-recorded")


def test_a_value_nearer_to_its_limit_than_it_is_known_is_not_judged() -> None:
    near = judge("lesson", TOUCHDOWN, Observed(m_from_ft(190.0), blur_si=m_from_ft(30.0)))
    assert (near.is_met, near.reason) == (None, "too-near-to-tell")
    assert near.value == pytest.approx(m_from_ft(190.0))
    assert judge("lesson", TOUCHDOWN, Observed(m_from_ft(100.0), blur_si=m_from_ft(30.0))).is_met is True


def test_flown_from_overhead_the_commercial_touchdown_is_for_information_and_its_height_abeam_is_null() -> None:
    seen = {TOUCHDOWN: Observed(m_from_ft(50.0)), ABEAM_HEIGHT: Observed(m_from_ft(1650.0))}
    rules = STANDARDS["commercial power-off 180"].rules
    touchdown, abeam = judged(rules, seen, is_from_abeam=False)
    assert (touchdown.is_met, touchdown.is_for_information) == (True, True)
    assert (abeam.value, abeam.is_met, abeam.reason) == (None, None, "flown-from-overhead")
    touchdown, abeam = judged(rules, seen, is_from_abeam=True)
    assert (touchdown.is_for_information, abeam.is_met) == (False, False)


def test_the_lessons_bank_is_the_exercises_own() -> None:
    exercise = dataclasses.replace(fixtures.exercise(), maximum_bank_below_low_key_rad=rad_from_deg(25.0))
    rule = next(rule for rule in LESSON.rules_for(exercise) if rule.item == BANK_BELOW_LOW_KEY)
    assert rule.limit_high == rad_from_deg(25.0)


def test_a_standard_that_nobody_knows_is_refused_with_those_there_are() -> None:
    with pytest.raises(StandardUnknown, match="lesson"):
        standard_named("my own")
