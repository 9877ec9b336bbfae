"""Without a recorder three altitudes written down are a debrief, and nothing is claimed that they do not show."""

from __future__ import annotations

import pytest

from volplane import bootstrap
from volplane.domain.debrief.kneeboard import NoGateNoted
from volplane.domain.debrief.results import Attempt, Debrief, Outcome, VerdictText
from volplane.domain.exercise.exercise import GateName
from volplane.errors import FilesRefused
from volplane.units import FOOT_M, ft_from_m

WRITTEN = """\
gate, altimeter_ft
high key, 3700
Low key, 2450
base key, 1850
touchdown, 150
"""


def debriefed(text: str) -> Debrief:
    return bootstrap.debrief_bytes("kneeboard.csv", text.encode(), bootstrap.demo_workbench().exercise({}))


def attempt_of(text: str) -> Attempt:
    (attempt,) = debriefed(text).attempts
    return attempt


def test_readings_are_true_heights_above_the_touchdown_point_on_todays_altimeter() -> None:
    low = attempt_of(WRITTEN).gate(GateName.LOW_KEY)
    assert low is not None
    # 2,450 ft on the dial; 18 degrees at 940 ft, where the standard has 13.1: true heights above the field are the
    # dial's times the ratio of the temperatures (hydrostatics, an oracle)
    scale = (273.15 + 18.0) / (288.15 - 0.0065 * 940.0 * FOOT_M)
    assert ft_from_m(low.height_m) == pytest.approx((2450.0 - 940.0) * scale, abs=3.0)


def test_the_outcome_is_what_was_written() -> None:
    landed = attempt_of(WRITTEN)
    assert landed.outcome is Outcome.LANDED
    assert landed.touchdown is not None
    assert ft_from_m(landed.touchdown.x_m) == pytest.approx(150.0)
    assert attempt_of(WRITTEN.replace("touchdown, 150\n", "")).outcome is Outcome.NOT_RECORDED_TO_THE_END


def test_the_touchdown_may_stand_in_a_column_of_its_own_and_before_the_point() -> None:
    text = "gate;altimeter_ft;x_ft\nlow key;2450;\ntouchdown;;-40\n"
    touchdown = attempt_of(text).touchdown
    assert touchdown is not None
    assert ft_from_m(touchdown.x_m) == pytest.approx(-40.0)


def test_a_low_key_hundreds_of_feet_under_the_lowest_would_not_have_made_it() -> None:
    verdict = attempt_of("gate, altimeter_ft\nhigh key, 3300\nlow key, 1900\n").verdict
    assert verdict is not None
    assert verdict.text is VerdictText.WOULD_NOT_HAVE_MADE_IT
    high = attempt_of("gate, altimeter_ft\nlow key, 3300\n").verdict
    assert high is not None
    assert high.text is VerdictText.MADE_IT


def test_nothing_is_said_of_speed_bank_wind_or_power() -> None:
    attempt = attempt_of(WRITTEN)
    assert {each.key for each in attempt.not_observable} >= {"path", "speed_kcas", "wind", "glide", "budget", "engine"}
    judged = {item.item for item in attempt.standard if item.is_met is not None}
    assert not any("bank" in item or "speed" in item or "sink" in item for item in judged)
    assert (attempt.maximum_bank_rad, attempt.minimum_cas_mps, attempt.glide, attempt.wind) == (None, None, None, ())
    assert all(gate.ground_speed_mps is None for gate in attempt.gates)


def test_a_high_key_alone_gives_no_verdict() -> None:
    assert attempt_of("gate, altimeter_ft\nhigh key, 3700\n").verdict is None


@pytest.mark.parametrize(
    "text, found",
    [
        ("gate, altimeter_ft\nthe big tree, 2000\n", '"the big tree"'),
        ("gate, altimeter_ft\nlow key, 2450\nlow key, 2400\n", "low key twice"),
        ("gate, altimeter_ft\nlow key,\n", "no reading"),
        ("gate, altimeter_ft\nlow key, high\n", '"high"'),
        ("gate, altimeter_ft\n", "titles only"),
        ("gate, altimeter_ft\ntouchdown, 100\n", "no reading"),
    ],
)
def test_a_bad_row_is_answered_in_a_sentence(text: str, found: str) -> None:
    with pytest.raises(FilesRefused, match=found):
        debriefed(text)


def test_readings_at_gates_that_the_shape_lacks_are_refused() -> None:
    exercise = bootstrap.demo_workbench().exercise(
        {"shape": "power-off 180", "entry_height": "1400 ft", "low_key_height": ""}
    )
    with pytest.raises(NoGateNoted, match="low key"):
        bootstrap.debrief_bytes("kneeboard.csv", b"gate, altimeter_ft\nhigh key, 3700\n", exercise)
