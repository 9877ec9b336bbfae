"""Rules of practice that published standards state."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import volplane
from tests.checks.records import assert_check, check
from tests.exercises import AIRPLANE, exercise_of, weather_of, wind_of
from volplane import bootstrap
from volplane.adapters.toml.airplane import APPROACH_TO_STALL_RATIO
from volplane.domain.exercise.exercise import GateName, ShapeName
from volplane.domain.exercise.pilot_limits import FINAL_COMPLETE_HEIGHT_M
from volplane.domain.exercise.solver import solve
from volplane.domain.exercise.thresholds import Thresholds
from volplane.domain.glide.polar import ParabolaPolar
from volplane.units import ft_from_m, kg_from_lb, m_from_ft, mps_from_kt

DATA = Path(volplane.__file__).parent / "demo_data"

F6_BREAK_OFF = check(
    "F6",
    "height at which a simulated emergency is broken off unless a landing is assured",
    500.0,
    "ft",
    0.01,
    "a stated height",
    "FAA practical test standards for the commercial pilot certificate, older edition, emergency operations",
    "P",
)
F4_FINAL = check(
    "F4",
    "height by which the turn to final is complete",
    300.0,
    "ft",
    0.01,
    "a stated height",
    "FAA Airplane Flying Handbook, 360 degree power-off approach",
    "P",
)

F5_START = check(
    "F5a",
    "greatest height abeam at which a 180 degree approach starts",
    1000.0,
    "ft",
    0.01,
    "a stated height",
    "FAA Airplane Flying Handbook, 180 degree power-off approach",
    "P",
)
F5_FINAL = check(
    "F5b",
    "speed on final over the stall speed in landing configuration where the maker gives none",
    1.3,
    "",
    0.001,
    "one decimal printed",
    "FAA Airplane Flying Handbook, 180 degree power-off approach",
    "P",
)
F12_CLOUD = check(
    "F12",
    "cloud over the height of entry, at least",
    500.0,
    "ft",
    0.01,
    "a stated distance",
    "14 CFR 91.155, distance below clouds",
    "M",
)


def test_an_exercise_with_every_default_is_broken_off_at_the_published_height() -> None:
    exercise = bootstrap.default_exercise(DATA / "dunlin_tourer.toml", DATA / "quill_meadow.toml", "25")
    assert_check(F6_BREAK_OFF, ft_from_m(exercise.break_off_height_m))
    assert_check(F6_BREAK_OFF, ft_from_m(Thresholds().break_off_height_m))


def test_a_break_off_below_the_published_height_is_a_caution() -> None:
    changed = bootstrap.demo_workbench().exercise({"break_off_height": "400 ft"})
    assert "low-break-off" in {finding.code for finding in solve(changed).findings}


def test_the_plan_completes_its_turn_to_final_by_the_published_height() -> None:
    assert_check(F4_FINAL, ft_from_m(FINAL_COMPLETE_HEIGHT_M))
    plan = solve(bootstrap.demo_workbench().exercise({}))
    final = plan.gate(GateName.FINAL)
    assert final is not None
    assert final.height_m >= m_from_ft(300.0)


def test_a_180_degree_approach_from_the_published_height_comes_out() -> None:
    """The handbook means a trainer: the textbook airplane of check C1, 10.62 to 1 at 71.84 kt, in calm air."""
    trainer = replace(
        AIRPLANE,
        maximum_weight_kg=kg_from_lb(2400.0),
        glide=ParabolaPolar(kg_from_lb(2400.0), mps_from_kt(71.84), 10.62),
        stall_clean_cas_mps=mps_from_kt(50.0),
        stall_landing_cas_mps=mps_from_kt(45.0),
        approach_ias_mps=mps_from_kt(1.3 * 45.0),
        touchdown_ias_mps=mps_from_kt(48.0),
    )
    calm = weather_of(wind_of((0.0, 240.0, 0.0)))
    height_m = m_from_ft(float(F5_START.expected))
    exercise = exercise_of(airplane=trainer, weight_kg=kg_from_lb(2400.0), weather=calm, **_from_m(height_m))
    plan = solve(replace(exercise, shape=ShapeName.POWER_OFF_180))
    assert plan.feasible
    assert_check(F5_START, ft_from_m(plan.gates[0].height_m))


def test_where_the_file_gives_no_approach_speed_it_is_the_published_multiple_of_the_stall() -> None:
    assert_check(F5_FINAL, APPROACH_TO_STALL_RATIO)


def test_cloud_nearer_than_the_published_distance_over_the_entry_is_told() -> None:
    clearance_m = m_from_ft(float(F12_CLOUD.expected))
    assert_check(F12_CLOUD, ft_from_m(Thresholds().cloud_clearance_m))
    for base_m, is_told in ((clearance_m - m_from_ft(10.0), True), (clearance_m + m_from_ft(10.0), False)):
        exercise = exercise_of()
        weather = replace(exercise.weather, cloud_base_above_field_m=exercise.entry_height_m + base_m)
        findings = solve(replace(exercise, weather=weather)).findings
        assert ("cloud" in {finding.code for finding in findings}) is is_told


def _from_m(height_m: float) -> dict[str, float]:
    """The wishes of an exercise that begins at the low key, without a reserve."""
    return {"entry_height_m": height_m, "low_key_height_m": height_m, "reserve_m": 0.0}
