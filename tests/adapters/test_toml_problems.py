"""Every fault in a file is answered by one sentence: file, place, found, expected, remedy."""

from __future__ import annotations

import pathlib
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.adapters.toml_texts import AIRFIELD, AIRPLANE, EXERCISE, NOW_UNIX_S, FixedVariation, read, replaced
from volplane.adapters.toml.airfield import read_airfield
from volplane.adapters.toml.airplane import read_airplane
from volplane.adapters.toml.library import TomlLibrary
from volplane.adapters.toml.source import HeldTexts, line_numbers, read_text
from volplane.adapters.toml.tables import MOST_PROBLEMS
from volplane.errors import FilesRefused, Problem

IN_AIRPLANE = [
    ('maximum = "3650 lb"', "", "weights.maximum", "nothing", 'Write maximum = "3650 lb" under [weights].'),
    ('"3650 lb"', '"3650"', "weights.maximum", '"3650" without a unit', 'Write "3650 lb" or "1656 kg".'),
    ('"109 kt"', "109", "glide.best_speed", "109 without a unit", 'Write "109 kt" or "201.9 km/h".'),
    ('"109 kt"', '"109 lb"', "glide.best_speed", '"109 lb", which is a weight', "109 kt"),
    ('"3650 lb"', '"-3650 lb"', "weights.maximum", '"-3650 lb"', "Check the figure"),
    ('"3650 lb"', '"2,50 lb"', "weights.maximum", '"2,50 lb"', "comma only separates thousands"),
    ("ratio = 9.6", 'ratio = "9.6"', "glide.ratio", '"9.6"', "without quotes"),
    ("ratio = 9.6", "ratio = 96", "glide.ratio", "96", "Check"),
    ("ratio = 9.6", "ratio = nan", "glide.ratio", "nan", "Check"),
    ("ratio = 9.6", "", "glide.ratio", "nothing", "Write ratio = 9.6 under [glide]."),
    ("ratio = 9.6", "raito = 9.6", "glide.raito", '"raito"', 'Did you mean "ratio"?'),
    ('clean = "68 kt"', 'clean = "112 kt"', "glide.best_speed", "not above the clean stall", "Check both speeds"),
    ('landing = "60 kt"', 'landing = "70 kt"', "stall.landing", 'more than stall.clean "68 kt"', "Exchange the two"),
    ('"88 kt"', '"58 kt"', "landing_without_power.approach_speed", "not above stall.landing", "Check both"),
    ('"65 kt"', '"90 kt"', "landing_without_power.touchdown_speed", "not below the approach speed", "Check both"),
    ('"65 kt"', '"40 kt"', "landing_without_power.touchdown_speed", "far below stall.landing", "Check both"),
    ('name = "Dunlin Tourer"', "name = 7", "name", "7", 'Write it in quotes: "7".'),
    ('name = "Dunlin Tourer"', 'name = " "', "name", "an empty text", "Write it"),
    ("[weights]", "[weihgts]", "weihgts", '"weihgts"', 'Did you mean "weights"?'),
    ('gear = "down"', 'gear = "out"', "configuration[1].gear", '"out"', "Write"),
    ("extra_drag = 0.55", "extra_drag = -3", "configuration[1].extra_drag", "-3", "Check"),
    ("propeller_blades = 3", "propeller_blades = 2.5", "engine.propeller_blades", "2.5", "Count again"),
    ("propeller_blades = 3", 'propeller_blades = "three"', "engine.propeller_blades", '"three"', "without quotes"),
    ('configuration = "gear and', 'configuration = "no gear and', "stand_in.configuration", '"no gear', "Add it"),
    ("calls = [", 'calls = "one"\n#', "words.calls", '"one"', "square brackets"),
    ("[limits]", "limits = 5\n[limit2]", "landing_without_power.limits", '"limits"', "Move it to the top"),
    ("ratio = 9.6", 'ratio = 9.6\nweight = "4000 lb"', "glide.weight", "above weights.maximum", "Check both weights"),
    ("ratio = 9.6", 'points = [{ speed = "85 kt", sink = "900 fpm" }]', "glide.points", "no curve", "Add points"),
]
IN_AIRFIELD = [
    ('"4400 ft"', '"0 ft"', "runway[1].length", '"0 ft"', "Check"),
    ("[44.0000000, -40.0000000]", "[-140.0, 44.0]", "runway[1].threshold", "[-140.0, 44.0]", "Latitude comes first"),
    ("[44.0000000, -40.0000000]", "[89.0, 44.0]", "runway[1].threshold", "[89.0, 44.0]", "Check the position"),
    ("[44.0000000, -40.0000000]", '"44 N"', "runway[1].threshold", '"44 N"', "threshold = [44.0, -40.0]"),
    ("[44.0000000, -40.0000000]", "[nan, 0.0]", "runway[1].threshold", "[nan, 0.0]", "Check the position"),
    ('"238.4 deg"', '"58.4 deg"', "runway[1].bearing_true", '"58.4 deg" for runway 25', "landing direction"),
    ('"238.4 deg"', '"361 deg"', "runway[1].bearing_true", '"361 deg"', "Check"),
    ('name = "07"', 'name = "25"', "runway[2].name", "for the second time", "Rename"),
    ('elevation = "940 ft"', 'elevation = "940"', "elevation", '"940" without a unit', 'Write "940 ft"'),
    ('elevation = "940 ft"', 'elevation = "940 ft"\nvariation = "12 deg"', "variation", '"12 deg"', "deg W"),
    ('elevation = "940 ft"', 'elevation = "940 ft"\npractice_floor = "900 ft"', "practice_floor", "below the", "Add"),
    (
        'elevation = "940 ft"',
        'elevation = "940 ft"\nairspace_ceiling = "500 ft"',
        "airspace_ceiling",
        "not above",
        "Ch",
    ),
    ('length = "4400 ft"', 'length = "4400 ft"\nelevation = "940 m"', "runway[1].elevation", '"940 m"', "Check both"),
]
IN_EXERCISE = [
    ('"3350 lb"', '"3850 lb"', "weight", "above the maximum", "Check the weight"),
    ('"3350 lb"', '"335 lb"', "weight", "less than the airplane itself weighs", "Check the weight"),
    ('runway = "25"', 'runway = "18"', "runway", '"18"', 'Write "25" or "07".'),
    ('runway = "25"', "runway = 25", "runway", "25", 'Write it in quotes: "25".'),
    ('height = "3000 ft"', 'height = "20 ft"', "weather.wind[2].height", "not above the level before", "Sort"),
    ('height = "3000 ft"', 'height = "0 ft"', "weather.wind[2].height", "not above the level before", "Sort"),
    ('"18 kt"', '"180 kt"', "weather.wind", "156.7 kt of wind at 2600 ft", "no glide comes back"),
    ('"8 kt"', '"-8 kt"', "weather.wind[1].speed", '"-8 kt"', "Check"),
    ("entry_height", "entry_hight", "entry_hight", '"entry_hight"', 'Did you mean "entry_height"?'),
    ("[weather]", 'qnh = "30.05 inHg"\n[weather]', "qnh", '"qnh"', "Move it to [weather]."),
    ("[weather]", '[weather]\nmetar = "141350Z"', "weather.metar", '"141350Z"', "Paste it whole"),
    ('"30.05 inHg"', '"3.05 inHg"', "weather.qnh", '"3.05 inHg"', "Check"),
    ('"30.05 inHg"', '"30.05 hPa"', "weather.qnh", '"30.05 hPa"', "Check"),
    ('"18 degC"', '"180 degC"', "weather.temperature", '"180 degC"', "Check"),
    ("[weather]", '[weather]\ndew_point = "25 degC"', "weather.dew_point", "above the temperature", "Exchange"),
    ("[weather]", '[weather]\ngust = "5 kt"', "weather.gust", "below the wind", "Check both"),
    ("[weather]", '[weather]\ntower_wind = "250 deg 8 kt"', "weather.tower_wind", "and a wind level", "Take out one"),
    ("[weather]", '[weather]\ntower_wind = "250/8"', "weather.tower_wind", '"250/8"', "240 deg 8 kt"),
    ('"2026-05-14"', '"14.5.2026"', "date", '"14.5.2026"', '"2026-05-14"'),
    ('"2026-05-14"', '"1816-05-14"', "date", '"1816-05-14"', "Check the year"),
    ('"14:00Z"', '"14:00"', "time", '"14:00"', "the Z says that it is UTC"),
    ('"14:00Z"', "14:00:00", "time", "14:00:00", "14:00Z"),
    ('pattern = "left"', 'pattern = "lefty"', "pattern", '"lefty"', 'Write "left".'),
    ('"1500 ft"', '"2700 ft"', "low_key_height", '"2700 ft"', "Change low_key_height"),
    ('"1200 ft"', '"4500 ft"', "touchdown_point", "beyond the runway", "from the threshold"),
    ('"1200 ft"', '"-10 ft"', "touchdown_point", '"-10 ft"', "Check"),
    ("touchdown_point", 'high_key_turn_bank = "50 deg"\ntouchdown_point', "high_key_turn_bank", '"50 deg"', "Change"),
    ("touchdown_point", 'shape = "overhed"\ntouchdown_point', "shape", '"overhed"', 'Write "overhead".'),
    ("touchdown_point", 'shape = "power-off 180"\ntouchdown_point', "low_key_height", '"1500 ft"', "one of the two"),
    ("touchdown_point", 'shape = "en route"\ntouchdown_point', "position", "nothing", "Write for example position ="),
    ("touchdown_point", "position = [44.1, -40.0]\ntouchdown_point", "position", "a position", "change the shape"),
    (
        "touchdown_point",
        'shape = "en route"\nposition = [-40.0, 44.0]\ntouchdown_point',
        "position",
        "from the runway",
        "latitude comes first",
    ),
    (
        "touchdown_point",
        'shape = "steep spiral"\nspiral_bank = "50 deg"\ntouchdown_point',
        "spiral_bank",
        '"50 deg"',
        "Change spiral_bank",
    ),
    ("touchdown_point", 'obstacle_margin = "-1 ft"\ntouchdown_point', "obstacle_margin", '"-1 ft"', "Check"),
    ("touchdown_point", 'standard = "private"\ntouchdown_point', "standard", '"private"', 'Write "lesson".'),
    ("touchdown_point", 'break_off_height = "1600 ft"\ntouchdown_point', "break_off_height", '"1600 ft"', "Change"),
    ('"dunlin_tourer.toml"', '"dunlin.toml"', "airplane", '"dunlin.toml", which is not there', "dunlin_tourer.toml"),
]


def complaint(problem: Problem) -> str:
    """The place without its line."""
    return re.sub(r" \(line \d+\)$", "", problem.place)


def expect(problems: tuple[Problem, ...], file: str, place: str, found: str, remedy: str) -> None:
    hit = [problem for problem in problems if complaint(problem) == place]
    assert hit, [problem.sentence() for problem in problems]
    assert hit[0].file == file
    assert found in hit[0].found
    assert remedy in hit[0].remedy
    assert hit[0].expected


@pytest.mark.parametrize(("old", "new", "place", "found", "remedy"), IN_AIRPLANE)
def test_a_fault_in_the_airplane_file_is_named(old: str, new: str, place: str, found: str, remedy: str) -> None:
    _, problems = read(airplane=replaced(AIRPLANE, old, new))
    expect(problems, "dunlin_tourer.toml", place, found, remedy)


@pytest.mark.parametrize(("old", "new", "place", "found", "remedy"), IN_AIRFIELD)
def test_a_fault_in_the_airfield_file_is_named(old: str, new: str, place: str, found: str, remedy: str) -> None:
    _, problems = read(airfield=replaced(AIRFIELD, old, new))
    expect(problems, "quill_meadow.toml", place, found, remedy)


@pytest.mark.parametrize(("old", "new", "place", "found", "remedy"), IN_EXERCISE)
def test_a_fault_in_the_exercise_file_is_named(old: str, new: str, place: str, found: str, remedy: str) -> None:
    _, problems = read(exercise=replaced(EXERCISE, old, new))
    expect(problems, "exercise.toml", place, found, remedy)


@pytest.mark.parametrize(
    ("text", "place", "found"),
    [
        (replaced(AIRPLANE, "ratio = 9.6", "ratio 9.6"), "line 10", '"ratio 9.6"'),
        (replaced(AIRPLANE, "ratio = 9.6", "ratio = 9.6\nratio = 9.7"), "line 11", '"ratio = 9.7"'),
        ("name = 'x", "", None),
        ("a = " + "9" * 5000, "", None),
        ("a = " + "[" * 100_000, "", "brackets nested too deep"),
        ("\x00", "line 1", None),
    ],
)
def test_what_is_no_toml_is_named_by_its_line(text: str, place: str, found: str | None) -> None:
    _, (problem,) = read_airplane(text, "a.toml")
    assert place in problem.place
    assert found is None or found in problem.found


def test_all_faults_of_the_three_files_come_at_once() -> None:
    _, problems = read(
        exercise=replaced(replaced(EXERCISE, '"2600 ft"', '"2600"'), '"3350 lb"', '"9000 lb"'),
        airplane=replaced(AIRPLANE, '"300 hp"', '"300"'),
        airfield=replaced(AIRFIELD, '"4400 ft"', '"4400"'),
    )
    places = [(problem.file, complaint(problem)) for problem in problems]
    assert sorted(places) == [
        ("dunlin_tourer.toml", "engine.rated_power"),
        ("exercise.toml", "entry_height"),
        ("quill_meadow.toml", "runway[1].length"),
        ("quill_meadow.toml", "runway[2].length"),
    ]


def test_one_fault_is_not_told_twice_nor_hides_the_next() -> None:
    broken = replaced(replaced(AIRPLANE, '"68 kt"', '"68"'), '"88 kt"', '"88 mm"')
    _, problems = read(airplane=broken)
    assert [complaint(each) for each in problems] == ["stall.clean", "landing_without_power.approach_speed"]


def test_every_message_names_the_line_the_key_stands_on() -> None:
    _, (problem,) = read(exercise=replaced(EXERCISE, '"2600 ft"', '"2600"'))
    number = next(n for n, line in enumerate(EXERCISE.splitlines(), 1) if line.startswith("entry_height"))
    assert problem.place == f"entry_height (line {number})"


def test_lines_are_found_in_lists_of_tables_too() -> None:
    lines = line_numbers(AIRFIELD)
    text = AIRFIELD.splitlines()
    assert text[lines["runway[2].length"] - 1] == 'length = "4400 ft"'
    assert lines["runway[2].length"] > lines["runway[1].length"]


def test_a_page_full_of_faults_stays_readable() -> None:
    _, problems = read_airplane("\n".join(f"key{number} = 1" for number in range(500)), "a.toml")
    assert len(problems) == MOST_PROBLEMS


def test_a_lesson_beyond_the_magnetic_model_asks_for_the_variation() -> None:
    from volplane.adapters.magnetic import WorldMagneticModel

    _, (problem,) = read_airfield(AIRFIELD, "f.toml", WorldMagneticModel(), NOW_UNIX_S + 20 * 365.25 * 86400)
    assert problem.place == "variation"
    assert 'variation = "12 deg W"' in problem.remedy


# reading from disk


def refused(path: pathlib.Path) -> Problem:
    with pytest.raises(FilesRefused, match=r".") as refusal:
        read_text(path, path.name)
    (problem,) = refusal.value.problems
    return problem


def test_a_missing_file_is_answered_with_its_nearest_neighbour(tmp_path: pathlib.Path) -> None:
    (tmp_path / "dunlin_tourer.toml").write_text(AIRPLANE)
    assert refused(tmp_path / "dunlin_tourr.toml").remedy == 'Did you mean "dunlin_tourer.toml"?'
    assert refused(tmp_path / "zebra.toml").remedy == "Check its name and folder."
    assert refused(tmp_path / "dunlin_tourer.toml" / "x").found == "no such file"


def test_a_folder_a_device_and_a_name_that_cannot_be_are_no_files(tmp_path: pathlib.Path) -> None:
    assert refused(tmp_path).found == "a folder"
    assert refused(pathlib.Path("/dev/null")).found == "no ordinary file"
    assert "cannot be read" in refused(tmp_path / ("x" * 300)).found
    assert "cannot be read" in refused(tmp_path / "a\0b").found


def test_a_huge_file_is_refused_after_its_first_megabyte(tmp_path: pathlib.Path) -> None:
    huge = tmp_path / "huge.toml"
    with huge.open("wb") as file:
        file.truncate(2_000_000_000)  # two gigabytes, sparse on disk
    assert refused(huge).found == "more than 1 MB"


def test_text_in_another_encoding_is_named_by_its_line(tmp_path: pathlib.Path) -> None:
    path = tmp_path / "latin.toml"
    path.write_bytes(b'name = "x"\nfield = "M\xfcnde"\n')
    problem = refused(path)
    assert (problem.place, problem.found) == ("line 2", "a byte that is no UTF-8")


def test_files_named_in_an_exercise_are_looked_up_beside_it(tmp_path: pathlib.Path) -> None:
    for name, text in (("dunlin_tourer.toml", AIRPLANE), ("quill_meadow.toml", AIRFIELD), ("exercise.toml", EXERCISE)):
        (tmp_path / name).write_text(text)
    library = TomlLibrary(FixedVariation(), NOW_UNIX_S)
    exercise = library.exercise(str(tmp_path / "exercise.toml"))
    assert exercise.airplane == library.airplane(str(tmp_path / "dunlin_tourer.toml"))
    assert exercise.airfield == library.airfield(str(tmp_path / "quill_meadow.toml"))
    (tmp_path / "quill_meadow.toml").unlink()
    with pytest.raises(FilesRefused, match=r'airfield \(line 3\): found "quill_meadow.toml", which is not there'):
        library.exercise(str(tmp_path / "exercise.toml"))


def test_the_faults_of_a_named_file_carry_its_own_name() -> None:
    _, problems = read(airplane="name = ")
    assert [problem.file for problem in problems] == ["dunlin_tourer.toml"]


def test_texts_held_in_memory_name_what_is_there() -> None:
    with pytest.raises(FilesRefused, match=r'Name "a" or "b", or give that file too'):
        HeldTexts({"a": "", "b": ""})("c")
    with pytest.raises(FilesRefused, match=r"Give that file too"):
        HeldTexts()("c")


# nothing that is typed may raise

JUNK = st.recursive(
    st.none() | st.booleans() | st.integers(-(10**6), 10**6) | st.floats() | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=6), inner, max_size=3),
    max_leaves=5,
)


def as_toml(value: object) -> str:
    """Any such value as TOML; None as an empty list."""
    import json
    import math

    if isinstance(value, bool):
        return "true" if value else "false"
    if value is None:
        return "[]"
    if isinstance(value, float):
        return "nan" if math.isnan(value) else ("-inf" if value < 0 else "inf") if math.isinf(value) else repr(value)
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=True).replace("\\ud", "\\u0d")
    if isinstance(value, dict):
        inner = ", ".join(f"{as_toml(key)} = {as_toml(each)}" for key, each in value.items())
        return f"{{ {inner} }}"
    if isinstance(value, list):
        return f"[{', '.join(as_toml(each) for each in value)}]"
    return str(value)


@settings(max_examples=150, deadline=None)
@given(
    st.sampled_from([(number, line) for number, line in enumerate(AIRPLANE.splitlines()) if " = " in line]),
    JUNK,
)
def test_any_value_at_any_key_of_the_airplane_is_read_or_answered(place: tuple[int, str], junk: object) -> None:
    number, line = place
    lines = AIRPLANE.splitlines()
    lines[number] = f"{line.split(' = ')[0]} = {as_toml(junk)}"
    value, problems = read_airplane("\n".join(lines), "a.toml")
    assert (value is None) == bool(problems)
    assert all(each.found and each.expected and each.remedy for each in problems)


@settings(max_examples=150, deadline=None)
@given(
    st.sampled_from([(number, line) for number, line in enumerate(EXERCISE.splitlines()[:13]) if " = " in line]),
    st.sampled_from(["", "[weather]\n", "[[phase]]\n", "[[obstacles]]\n", "[[weather.wind]]\n"]),
    st.sampled_from(["qnh", "wind", "temperature", "from", "speed", "x", "height", "gust", "tower_wind", "phase"]),
    JUNK,
)
def test_any_value_at_any_key_of_the_exercise_is_read_or_answered(
    place: tuple[int, str], header: str, key: str, junk: object
) -> None:
    number, line = place
    lines = EXERCISE.splitlines()[:13]
    lines[number] = f"{line.split(' = ')[0]} = {as_toml(junk)}"
    value, problems = read("\n".join(lines) + f"\n{header}{key} = {as_toml(junk)}\n")
    assert (value is None) == bool(problems)


@settings(max_examples=200, deadline=None)
@given(st.text(max_size=200))
def test_any_text_at_all_is_answered(text: str) -> None:
    assert read_airplane(text, "a.toml")[1]
    assert read(text)[1]
    assert read_airfield(text, "f.toml", FixedVariation(), NOW_UNIX_S)[1]
