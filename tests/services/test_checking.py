"""Figures of a handbook against each other."""

from __future__ import annotations

import pathlib

import pytest

from tests.adapters.toml_texts import (
    AIRFIELD,
    AIRPLANE,
    EXERCISE,
    NOW_UNIX_S,
    SIX_NUMBERS,
    FixedVariation,
    replaced,
)
from volplane import units
from volplane.adapters.toml.library import TomlLibrary
from volplane.services.checking import (
    Contradiction,
    Handbook,
    contradictions,
    implied_sink_at_sea_level_mps,
)

KT, FPM = units.KNOT_MPS, units.FOOT_PER_MINUTE_MPS


def test_105_knots_at_10_2_to_1_are_about_1042_feet_a_minute() -> None:
    # arithmetic: 105 x 6076.115 / 60 / 10.2 = 1042.5 with the small angle, 0.5 % less exactly (checks, line C11)
    implied = implied_sink_at_sea_level_mps(Handbook(best_cas_mps=105 * KT, best_ratio=10.2))
    assert implied is not None
    assert implied / FPM == pytest.approx(1042.5, rel=0.006)


def test_850_feet_a_minute_contradict_105_knots_at_10_2_to_1() -> None:
    # common practice quotes all three together; they do not hold at once (checks, line C11)
    (found,) = contradictions(Handbook(best_cas_mps=105 * KT, best_ratio=10.2, sink_mps=850 * FPM))
    assert found.keys == ("glide.sink", "glide.best_speed", "glide.ratio")
    assert found.difference_fraction == pytest.approx(850 / 1042.5 - 1.0, abs=0.006)


@pytest.mark.parametrize(("sink_fpm", "count"), [(1040, 0), (950, 0), (930, 1), (1130, 0), (1150, 1)])
def test_a_tenth_is_let_pass_on_either_side(sink_fpm: float, count: int) -> None:
    book = Handbook(best_cas_mps=105 * KT, best_ratio=10.2, sink_mps=sink_fpm * FPM)
    assert len(contradictions(book)) == count


def test_a_measured_curve_is_compared_with_what_is_stated() -> None:
    book = Handbook(
        best_cas_mps=109 * KT,
        best_ratio=12.0,
        sink_mps=850 * FPM,
        measured_best_cas_mps=95 * KT,
        measured_best_ratio=9.6,
    )
    keys = [found.keys for found in contradictions(book)]
    assert ("glide.ratio", "glide.points") in keys
    assert ("glide.best_speed", "glide.points") in keys
    assert ("glide.sink", "glide.points") in keys


def test_a_landing_approach_under_1_2_stall_speeds_is_named() -> None:
    (found,) = contradictions(Handbook(approach_ias_mps=70 * KT, stall_landing_ias_mps=60 * KT))
    assert found.keys == ("landing_without_power.approach_speed", "stall.landing")
    assert found.implied / KT == pytest.approx(72.0)


def test_an_approach_faster_than_full_flap_allows_is_named() -> None:
    (found,) = contradictions(
        Handbook(approach_ias_mps=88 * KT, stall_landing_ias_mps=60 * KT, full_flap_ias_mps=85 * KT)
    )
    assert found == Contradiction(
        ("landing_without_power.approach_speed", "limits.full_flap"), "speed_mps", 88 * KT, 85 * KT
    )


def test_nothing_stated_is_nothing_to_contradict() -> None:
    assert contradictions(Handbook()) == ()
    assert implied_sink_at_sea_level_mps(Handbook(best_ratio=9.6)) is None


# the files themselves


@pytest.fixture
def folder(tmp_path: pathlib.Path) -> pathlib.Path:
    for name, text in (("dunlin_tourer.toml", AIRPLANE), ("quill_meadow.toml", AIRFIELD), ("exercise.toml", EXERCISE)):
        (tmp_path / name).write_text(text, encoding="utf-8")
    return tmp_path


LIBRARY = TomlLibrary(FixedVariation(), NOW_UNIX_S)


def test_the_demo_files_are_told_apart_and_hold_no_fault(folder: pathlib.Path) -> None:
    found = {name: LIBRARY.check(str(folder / name)) for name in ("dunlin_tourer.toml", "quill_meadow.toml")}
    exercise = LIBRARY.check(str(folder / "exercise.toml"))
    assert [each.kind for each in (*found.values(), exercise)] == ["airplane", "airfield", "exercise"]
    assert all(each.is_accepted and each.contradictions == () for each in (*found.values(), exercise))
    # 109 kt at 9.6 to 1: 109 x 6076.115 / 60 / 9.6 = 1149.8 fpm with the small angle (arithmetic)
    implied = found["dunlin_tourer.toml"].implied_sink_mps
    assert implied is not None
    assert implied / FPM == pytest.approx(1149.8, rel=0.006)
    assert exercise.implied_sink_mps == implied
    assert found["quill_meadow.toml"].implied_sink_mps is None


def test_a_stated_sink_is_compared_and_does_not_forbid_the_file(folder: pathlib.Path) -> None:
    path = folder / "dunlin_tourer.toml"
    path.write_text(replaced(AIRPLANE, "ratio = 9.6", 'ratio = 9.6\nsink = "850 fpm"'), encoding="utf-8")
    for name in ("dunlin_tourer.toml", "exercise.toml"):
        checked = LIBRARY.check(str(folder / name))
        assert checked.is_accepted
        assert [found.keys[0] for found in checked.contradictions] == ["glide.sink"]


def test_a_fault_of_any_kind_comes_back_as_a_problem(folder: pathlib.Path) -> None:
    (folder / "broken.toml").write_text("name =", encoding="utf-8")
    (folder / "six.toml").write_text(replaced(SIX_NUMBERS, '"68 kt"', '"68"'), encoding="utf-8")
    (folder / "field.toml").write_text('elevation = "940"\n', encoding="utf-8")
    (folder / "dunlin_tourer.toml").unlink()
    for name in ("broken.toml", "six.toml", "field.toml", "exercise.toml", "nothing.toml", "."):
        checked = LIBRARY.check(str(folder / name))
        assert not checked.is_accepted, name
        assert all(problem.sentence().endswith(".") or problem.sentence().endswith("?") for problem in checked.problems)
