"""A column map is seen, written, corrected, read back and obeyed."""

from __future__ import annotations

import pathlib
import tomllib

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.adapters.flights import Fix, glide, table
from volplane.adapters.column_map_file import column_map_of, column_map_text, read_column_map
from volplane.adapters.formats import csv, sniff
from volplane.errors import FilesRefused
from volplane.services.recordings import Channel, Column, ColumnMap

FILES = pathlib.Path(__file__).parent / "files"


@pytest.mark.parametrize("name", ["panel.csv", "metric.csv"])
def test_the_map_of_a_table_written_and_given_back_reads_the_same_track(name: str) -> None:
    data = (FILES / name).read_bytes()
    shown = sniff.columns_of(name, data)
    assert shown is not None
    plain, problems = csv.read(name, data)
    mapped, mapped_problems = csv.read(name, data, column_map_of("map.toml", column_map_text(shown).encode()))
    assert plain is not None
    assert mapped is not None
    assert [each.code for each in mapped_problems] == [each.code for each in problems]
    for channel in ("time_s", "latitude_deg", "altitude_m", "ground_speed_mps", "ias_mps", "manifold_pressure_pa"):
        first, second = getattr(plain, channel), getattr(mapped, channel)
        assert (first is None) == (second is None), channel
        np.testing.assert_array_equal(first, second) if first is not None else None
    assert mapped.start_unix_s == plain.start_unix_s


def test_a_wrong_guess_is_corrected_by_the_map() -> None:
    """Somebody titles the pressure altitude in metres "Alt", and the local time "Time"."""

    def row(fix: Fix) -> list[object]:
        clock = f"2026-05-14 10:{fix.clock[3:]}"
        return [clock, f"{fix.latitude_deg:.7f}", f"{fix.longitude_deg:.7f}", round(fix.altitude_ft * 0.3048, 2), 105]

    data = table("Time,Lat,Lon,Alt,Speed kt", row)
    guessed, _ = csv.read("lesson.csv", data)
    assert guessed is not None
    assert guessed.altitude_m is not None
    assert guessed.altitude_m[0] < 400.0  # taken as feet, because the speed is in knots
    text = """
        utc_offset = "-04:00"
        [[column]]
        title = "Time"
        channel = "date and time"
        [[column]]
        title = "Lat"
        channel = "latitude"
        unit = "deg"
        [[column]]
        title = "Lon"
        channel = "longitude"
        unit = "deg"
        [[column]]
        title = "Alt"
        channel = "pressure altitude"
        unit = "m"
    """
    track, problems = csv.read("lesson.csv", data, column_map_of("map.toml", text.encode()))
    assert track is not None
    assert problems == ()
    assert track.altitude_m is not None
    assert track.altitude_m == pytest.approx([fix.altitude_ft * 0.3048 for fix in glide()], abs=0.006)
    assert track.altitude_source == "pressure altitude"
    assert track.start_unix_s == 1_778_767_200.0  # 14:00 UTC, from 10:00 local
    assert track.ground_speed_mps is None


@pytest.mark.parametrize(
    "text,code,word",
    [
        ("", "column-map-empty", "no columns"),
        ("[[column", "column-map-syntax", "TOML"),
        ("\xff", "column-map-syntax", "TOML"),
        ("column = 3", "column-map-empty", "no columns"),
        ("column = [3]", "column-map-syntax", "no table"),
        ("colums = 1", "column-map-key", "column"),
        ('[[column]]\ntitel = "Alt"\nchannel = "track"', "column-map-key", "title"),
        ('[[column]]\ntitle = "Alt"\nchannel = "GPS altitud"', "column-map-channel", "GPS altitude"),
        ('[[column]]\ntitle = "Alt"\nchannel = "track"\nunit = 3', "column-map-unit", "text"),
        ('utc_offset = "4"\n[[column]]\ntitle = "Alt"\nchannel = "track"', "column-map-offset", "-04:00"),
        (
            '[[column]]\ntitle = "A"\nchannel = "track"\n[[column]]\ntitle = "A"\nchannel = "bank"',
            "column-map-doubled",
            "A",
        ),
        ("#" * 200_000, "column-map-syntax", "TOML"),
    ],
)
def test_a_faulty_map_is_refused_in_a_sentence(text: str, code: str, word: str) -> None:
    with pytest.raises(FilesRefused, match=r"map\.toml") as refused:
        column_map_of("map.toml", text.encode("latin-1"))
    assert code in [problem.code for problem in refused.value.problems]
    assert any(word in problem.sentence() for problem in refused.value.problems)


def test_a_map_that_is_not_there_is_refused_in_a_sentence(tmp_path: pathlib.Path) -> None:
    with pytest.raises(FilesRefused, match="cannot be read"):
        read_column_map(tmp_path / "none.toml")


COLUMNS = st.lists(
    st.builds(
        Column,
        st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=20).filter(str.strip),
        st.sampled_from(Channel),
        st.sampled_from(["", "ft", "kt", "deg magnetic"]),
        st.text(max_size=20),
    ),
    min_size=1,
    max_size=6,
    unique_by=lambda column: column.title,
)


@given(COLUMNS, st.none() | st.integers(-840, 840))
@settings(max_examples=100, deadline=None)
def test_any_map_comes_back_from_its_file(columns: list[Column], minutes: int | None) -> None:
    text = column_map_text(ColumnMap(tuple(columns), None if minutes is None else minutes * 60.0))
    tomllib.loads(text)
    back = column_map_of("map.toml", text.encode())
    assert [(each.title, each.channel, each.unit) for each in back.columns] == [
        (each.title, each.channel, each.unit) for each in columns
    ]
    assert back.utc_offset_s == (None if minutes is None else minutes * 60.0)
