"""A trainee's path: who is counted where, what a handful of lessons can tell, and what is left unsaid."""

from __future__ import annotations

import dataclasses
import pathlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.season import SEASON, Flown, keep_season
from tests.stores import file_store
from volplane.domain.exercise.exercise import GateName
from volplane.services import kept
from volplane.services.progress import Progress, TopicKind, WindBand, exercises_of, progress_of
from volplane.services.robust import middle_of, trend_of
from volplane.units import ft_from_m


def progress_in(folder: pathlib.Path, trainee: str, flown: tuple[Flown, ...] = SEASON) -> Progress:
    store = file_store(folder)
    keep_season(store, flown)
    with store.snapshot() as reader:
        return progress_of(exercises_of(reader, trainee))


def test_of_a_season_of_twelve_eight_touchdowns_are_counted_and_the_rest_stands_apart(tmp_path: pathlib.Path) -> None:
    store = file_store(tmp_path)
    keep_season(store)
    with store.snapshot() as reader:
        paths = [progress_of(exercises_of(reader, each)) for each in ("mara", "jonne", "ilse")]
    assert sum(len(each.exercises) for each in paths) == 12
    assert sum(each.outcomes.landed for each in paths) == 8
    assert sum(1 for each in paths for one in each.exercises if one.touchdown_x_m is not None) == 8
    assert sum(each.outcomes.timely for each in paths) == 2
    assert sum(each.outcomes.late for each in paths) == 1
    assert sum(each.outcomes.discontinued for each in paths) == 1
    assert sum(1 for each in paths for one in each.exercises if one.attempt.side == "right") == 1
    assert [each.is_too_few for each in paths] == [False, True, True]


def test_a_discontinued_exercise_enters_no_figure(tmp_path: pathlib.Path) -> None:
    mara = progress_in(tmp_path, "mara")
    assert mara.outcomes.discontinued == 1
    assert len(mara.counted) == 6
    high_key = next(each for each in mara.gates if each.gate is GateName.HIGH_KEY)
    assert high_key.count == 6  # seven flew past it; the 900 ft of the discontinued one are not among them
    assert high_key.middle is not None
    assert ft_from_m(high_key.middle.quartile_high) < 120.0


def test_the_middle_of_the_touchdowns_is_the_median_of_the_landings(tmp_path: pathlib.Path) -> None:
    mara = progress_in(tmp_path, "mara")
    assert mara.touchdowns is not None
    # by hand: 60, 90, 150, 260, 420
    assert ft_from_m(mara.touchdowns.median) == pytest.approx(150.0)
    assert ft_from_m(mara.touchdowns.quartile_low) == pytest.approx(90.0)
    assert ft_from_m(mara.touchdowns.quartile_high) == pytest.approx(260.0)


def test_what_got_better_is_told_with_its_interval(tmp_path: pathlib.Path) -> None:
    mara = progress_in(tmp_path, "mara")
    assert {each.gate for each in mara.improved} >= {None, GateName.LOW_KEY}
    touchdown = next(each.trend for each in mara.improved if each.gate is None)
    assert touchdown.slope_low <= touchdown.slope <= touchdown.slope_high < 0.0


def test_under_five_exercises_nothing_is_said_of_a_middle_a_trend_or_a_topic(tmp_path: pathlib.Path) -> None:
    jonne = progress_in(tmp_path, "jonne")
    assert jonne.is_too_few
    assert jonne.touchdowns is None
    assert jonne.improved == ()
    assert jonne.topics == ()
    assert all(each.middle is None and each.trend is None for each in jonne.gates)


def test_what_is_trained_next_is_what_went_wrong_first_in_the_exercise(tmp_path: pathlib.Path) -> None:
    flown = tuple(Flown("mara", day, touchdown_ft=500.0, gate_errors_ft=(0.0, 300.0, 250.0)) for day in range(6))
    mara = progress_in(tmp_path, "mara", flown)
    kinds = [(each.kind, each.name, each.bad, each.count) for each in mara.topics]
    assert kinds == [
        (TopicKind.GATE, "low key", 6, 6),
        (TopicKind.GATE, "base key", 6, 6),
        (TopicKind.STANDARD, "touchdown beyond the point", 6, 6),
    ]
    assert mara.improved == ()


def test_what_is_long_past_is_not_trained_again(tmp_path: pathlib.Path) -> None:
    bad = tuple(Flown("mara", day, touchdown_ft=100.0, gate_errors_ft=(0.0, 300.0, 0.0)) for day in range(8))
    good = tuple(Flown("mara", 10 + day, touchdown_ft=100.0) for day in range(8))
    assert progress_in(tmp_path, "mara", bad + good).topics == ()


def test_one_late_go_around_is_enough_to_train_the_decision(tmp_path: pathlib.Path) -> None:
    flown = (
        *(Flown("mara", day, touchdown_ft=100.0) for day in range(6)),
        Flown("mara", 9, "went around", is_timely=False),
    )
    topics = progress_in(tmp_path, "mara", flown).topics
    assert [(each.kind, each.bad, each.count) for each in topics] == [(TopicKind.LATE_GO_AROUND, 1, 1)]


def test_a_recording_debriefed_twice_holds_its_exercises_once(tmp_path: pathlib.Path) -> None:
    store = file_store(tmp_path)
    keep_season(store)
    first = store.find(kept.KeptDebrief, trainee="ilse")[0]
    attempts = store.find(kept.KeptAttempt, debrief=first.key)
    again = dataclasses.replace(first, key="again", made_unix_s=first.made_unix_s + 60.0, version=0)
    store.change([again, *(dataclasses.replace(each, key=f"{each.key}-again", debrief="again") for each in attempts)])
    with store.snapshot() as reader:
        found = exercises_of(reader, "ilse")
    assert [each.debrief for each in found] == ["again", "again"]


def test_winds_fall_into_bands_by_their_strength(tmp_path: pathlib.Path) -> None:
    winds = ((5.0, 5.0), (7.0, -7.0), (10.0, 12.0), (-3.0, 1.0), None)
    flown = tuple(Flown("mara", day, touchdown_ft=50.0, wind_kt=wind) for day, wind in enumerate(winds))
    mara = progress_in(tmp_path, "mara", flown)
    # by hand: 7.07, 9.9, 15.6 and 3.2 kt
    assert [each.band for each in mara.exercises] == [
        WindBand.LIGHT,
        WindBand.MODERATE,
        WindBand.STRONG,
        WindBand.LIGHT,
        WindBand.UNKNOWN,
    ]
    assert [(each.band, each.touchdowns, each.middle) for each in mara.bands] == [
        (WindBand.LIGHT, 2, None),
        (WindBand.MODERATE, 1, None),
        (WindBand.STRONG, 1, None),
        (WindBand.UNKNOWN, 1, None),
    ]


def test_the_slope_is_that_of_the_library_of_statistics() -> None:
    import numpy as np
    from scipy.stats import theilslopes

    values = [9.0, 15.0, 19.0, 20.0, 45.0, 55.0, 78.0, 61.0, 90.0]
    trend = trend_of(values)
    assert trend is not None
    slope, _, low, high = theilslopes(values, np.arange(len(values)), alpha=0.90)
    assert trend.slope == pytest.approx(slope)
    # ours is rounded outward, so it is never the narrower one
    assert trend.slope_low <= low
    assert trend.slope_high >= high


@pytest.mark.parametrize(
    "count, rank",
    # ranks of the 90 % interval of a median: table of the sign test, n = 5, 8, 10, 15, 20 (from memory)
    [(5, 1), (8, 2), (10, 2), (15, 4), (20, 6)],
)
def test_the_interval_of_a_median_is_that_of_the_sign_test(count: int, rank: int) -> None:
    middle = middle_of([float(each) for each in range(1, count + 1)])
    assert middle is not None
    assert (middle.median_low, middle.median_high) == (rank, count + 1 - rank)


@given(st.lists(st.floats(-1e4, 1e4), min_size=5, max_size=30), st.floats(-100.0, 100.0))
def test_a_steady_rise_added_to_values_is_added_to_their_slope(values: list[float], rise: float) -> None:
    before = trend_of(values)
    after = trend_of([value + rise * index for index, value in enumerate(values)])
    assert before is not None
    assert after is not None
    assert after.slope == pytest.approx(before.slope + rise, abs=1e-6)
    assert before.slope_low <= before.slope <= before.slope_high


def test_one_odd_landing_does_not_turn_a_trend() -> None:
    steady = [400.0 - 30.0 * each for each in range(9)]
    odd = [*steady[:4], 2000.0, *steady[5:]]
    trend = trend_of(odd)
    assert trend is not None
    assert trend.slope == pytest.approx(-30.0)
