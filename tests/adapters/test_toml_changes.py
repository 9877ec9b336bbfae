"""Values typed over an exercise file, as the page of the exercise does it."""

from __future__ import annotations

import math

import pytest

from tests.adapters.toml_texts import AIRFIELD, AIRPLANE, EXERCISE, NOW_UNIX_S, SHORTEST_EXERCISE, FixedVariation
from volplane import units
from volplane.adapters.toml.changes import exercise_with_changes, typed_fields
from volplane.adapters.toml.source import HeldTexts, NamedText
from volplane.domain.exercise.exercise import Exercise, ShapeName
from volplane.errors import FilesRefused, Problem

HELD = HeldTexts({"dunlin_tourer.toml": AIRPLANE, "quill_meadow.toml": AIRFIELD})


def changed(changes: dict[str, str], text: str = EXERCISE) -> Exercise:
    return exercise_with_changes(NamedText("exercise.toml", text), changes, HELD, FixedVariation(), NOW_UNIX_S)


def faults(changes: dict[str, str], text: str = EXERCISE) -> list[Problem]:
    with pytest.raises(FilesRefused, match=r".") as refusal:
        changed(changes, text)
    return list(refusal.value.problems)


def test_the_fields_read_as_they_would_be_typed() -> None:
    fields = {field.key: field.text for field in typed_fields(changed({})) if not field.is_seldom}
    assert fields == {
        "wind_0": "240 deg 8 kt",
        "wind_1": "270 deg 18 kt",
        "weight": "3,350 lb",
        "high_key_turn_bank": "20 deg",
        "base_turn_bank": "25 deg",
        "touchdown_point": "1,200 ft",
        "reserve": "100 ft",
        "qnh": "30.05 inHg",
        "temperature": "18 degC",
        "break_off_height": "500 ft",
    }


def test_what_is_seldom_typed_reads_as_the_file_has_it_or_as_nothing() -> None:
    fields = {field.key: field.text for field in typed_fields(changed({})) if field.is_seldom}
    assert (fields["entry_height"], fields["pattern"], fields["gust"]) == ("2,600 ft", "left", "")


def test_a_value_typed_empty_leaves_the_matter_to_its_default() -> None:
    wide = changed({"low_key_offset": "1.1 NM", "gust": "20 kt"})
    assert (wide.low_key_offset_m, wide.weather.gust_mps) == (
        pytest.approx(1.1 * 1852.0),
        pytest.approx(20 * 0.514444, rel=1e-5),
    )
    plain = changed({"low_key_offset": "", "gust": "", "pattern": "", "reserve": ""})
    assert (plain.low_key_offset_m, plain.weather.gust_mps) == (None, None)
    assert plain.reserve_m == pytest.approx(units.m_from_ft(100.0))


def test_typing_every_field_as_it_stands_changes_nothing() -> None:
    plain = changed({})
    again = changed({field.key: field.text for field in typed_fields(plain)})
    assert [field.text for field in typed_fields(again)] == [field.text for field in typed_fields(plain)]
    assert again.weight_kg == pytest.approx(plain.weight_kg)


def test_only_the_typed_field_changes() -> None:
    plain, windy = changed({}), changed({"wind_1": "300 deg 25 kt"})
    assert windy.weather.wind.speed_and_direction(10.0) == pytest.approx(plain.weather.wind.speed_and_direction(10.0))
    speed, direction = windy.weather.wind.speed_and_direction(units.m_from_ft(3000.0))
    assert (units.kt_from_mps(speed), math.degrees(direction)) == pytest.approx((25.0, 300.0))
    assert windy.weight_kg == plain.weight_kg
    assert changed({"weight": "3000 lb"}).weight_kg == pytest.approx(3000 * 0.45359237)
    assert changed({"qnh": "29.80 in"}).weather.atmosphere.qnh_pa == pytest.approx(units.pa_from_inhg(29.8))


def test_a_calm_file_may_be_given_a_wind() -> None:
    speed, _ = changed({"wind_0": "240 deg 8 kt"}, SHORTEST_EXERCISE).weather.wind.speed_and_direction(10.0)
    assert units.kt_from_mps(speed) == pytest.approx(8.0)
    assert changed({"wind_0": "calm"}).weather.wind.speed_and_direction(10.0)[0] == 0.0


def test_a_wind_typed_over_the_towers_is_true() -> None:
    tower = SHORTEST_EXERCISE + '[weather]\ntower_wind = "250 deg 8 kt"\n'
    tower += 'wind = [{ height = "3000 ft", from = "270 deg", speed = "18 kt" }]\n'
    low = changed({"wind_0": "250 deg 8 kt"}, tower).weather.wind.speed_and_direction(10.0)[1]
    assert math.degrees(low) == pytest.approx(250.0)
    wind = changed({"wind_1": "280 deg 20 kt"}, tower).weather.wind
    assert math.degrees(wind.speed_and_direction(10.0)[1]) == pytest.approx(238.0)
    assert math.degrees(wind.speed_and_direction(units.m_from_ft(3000.0))[1]) == pytest.approx(280.0)
    assert faults({"wind_1": "280 deg 500 kt"}, tower)[0].place == "wind_1"


def test_problems_carry_the_name_of_their_field() -> None:
    found = faults({"weight": "3350", "qnh": "3 inHg", "temperature": "hot"})
    assert sorted(problem.place for problem in found) == ["qnh", "temperature", "weight"]
    assert faults({"wind_1": "18 kt"})[0].place == "wind_1"
    assert faults({"wind_1": "270 deg 180 kt"})[0].place == "wind_1"
    assert faults({"wind_1": "270 deg 300 kt"})[0].place == "wind_1"


def test_an_unknown_field_or_level_is_answered() -> None:
    assert faults({"wieght": "3350 lb"})[0].place == "wieght"
    assert faults({"wind_7": "270 deg 18 kt"})[0].expected == "wind_0 to wind_1"
    assert faults({"weather": "fine"})[0].code == "field-unknown"


def test_runway_side_shape_and_half_turn_are_chosen_among_words() -> None:
    choices = {field.key: field.choices for field in typed_fields(changed({})) if field.choices}
    assert set(choices) == {"runway", "pattern", "shape", "half_turn"}
    assert choices["pattern"] == ("left", "right")
    # where an en-route exercise begins only the file can say
    assert str(ShapeName.EN_ROUTE) not in choices["shape"]
    for key, words in choices.items():
        for word in words:
            # a power-off 180 begins at the low key: two heights would contradict each other
            taken = changed({key: word, "low_key_height": ""})
            assert {field.key: field.text for field in typed_fields(taken)}[key] == word
