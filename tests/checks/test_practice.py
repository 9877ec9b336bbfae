"""Rules of practice that published standards state."""

from __future__ import annotations

from pathlib import Path

import volplane
from tests.checks.records import assert_check, check
from volplane import bootstrap
from volplane.domain.exercise.exercise import GateName
from volplane.domain.exercise.pilot_limits import FINAL_COMPLETE_HEIGHT_M
from volplane.domain.exercise.solver import solve
from volplane.domain.exercise.thresholds import Thresholds
from volplane.units import ft_from_m, m_from_ft

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
