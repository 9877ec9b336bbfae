"""Tables that are damaged: what can be read is read, what cannot is counted and named with its line."""

from __future__ import annotations

import pathlib

import numpy as np
import pytest

from tests.adapters.flights import Fix, glide, table
from volplane.adapters.formats import csv
from volplane.domain.track.track import Track
from volplane.errors import Problem

FILES = pathlib.Path(__file__).parent / "files"
TITLES = "UTC,Latitude,Longitude,GPS altitude (ft),IAS (kt)"


def row(fix: Fix) -> list[object]:
    return [f"2026-05-14T{fix.clock}Z", f"{fix.latitude_deg:.7f}", f"{fix.longitude_deg:.7f}", fix.altitude_ft, 105]


def text_lines() -> list[str]:
    """Titles and sixty lines."""
    return table(TITLES, row).decode().splitlines()


def read(lines: list[str], end: str = "\n") -> tuple[Track, dict[str, Problem]]:
    track, problems = csv.read("flight.csv", ("\n".join(lines) + end).encode())
    assert track is not None
    return track, {problem.code: problem for problem in problems}


def test_unreadable_lines_are_left_out_counted_and_the_first_is_named() -> None:
    lines = text_lines()
    lines[10] = "garbage"
    lines[20] = "2026-05-14Tno time,44,-40,3000,100"
    lines[30] = '2026-05-14T14:00:29Z,"43.99'
    track, problems = read(lines)
    assert len(track.time_s) == 57
    found = problems["lines-unreadable"]
    assert (found.place, found.found) == ("line 11", "3 of 60 lines unreadable")


def test_a_quote_that_is_never_closed_spoils_one_line_only() -> None:
    lines = text_lines()
    lines[5] = '"' + lines[5]
    track, _ = read(lines)
    assert len(track.time_s) >= 59


@pytest.mark.parametrize("keep", [10, 30, 50])
def test_a_cut_last_line_is_left_out_and_said(keep: int) -> None:
    lines = text_lines()
    lines[-1] = lines[-1][:keep]
    track, problems = read(lines, end="")
    assert len(track.time_s) == 59
    assert "last-line-cut" in problems


def test_a_last_line_without_an_end_is_whole_all_the_same() -> None:
    track, problems = read(text_lines(), end="")
    assert len(track.time_s) == 60
    assert not problems


def test_repeated_titles_are_passed_over() -> None:
    lines = text_lines()
    lines.insert(30, lines[0])
    track, problems = read(lines)
    assert len(track.time_s) == 60
    assert not problems
    assert any("titles are repeated" in note for note in track.notes)


def test_times_that_repeat_or_go_back_are_dropped_with_a_note() -> None:
    lines = text_lines()
    lines.insert(20, lines[19])
    lines.insert(40, lines[10])
    track, problems = read(lines)
    np.testing.assert_allclose(track.time_s, np.arange(60.0))
    assert not problems
    assert any("2 fixes" in note for note in track.notes)


def test_lines_before_the_first_position_and_before_the_clock_was_set_are_left_out() -> None:
    lines = text_lines()
    lines[1] = "2026-05-14T14:00:00Z,,,,0"
    lines[2] = "2026-05-14T14:00:01Z,0.0,0.0,,0"
    lines[3] = "1980-01-06T00:00:00Z,44.0,-40.0,3500,0"
    lines[4] = "2026-05-14T14:00:03Z,144.0,-40.0,3500,0"
    track, problems = read(lines)
    assert len(track.time_s) == 56
    assert not problems
    assert {note.split()[0] for note in track.notes[:2]} == {"3", "1"}


@pytest.mark.parametrize("missing", ["", "-", "n/a", "NaN", "inf", "***"])
def test_missing_values_are_not_numbers_and_never_nought(missing: str) -> None:
    lines = text_lines()
    lines[8] = f"{lines[8].rsplit(',', 1)[0]},{missing}"
    track, problems = read(lines)
    assert track.ias_mps is not None
    assert np.flatnonzero(np.isnan(track.ias_mps)).tolist() == [7]
    assert not problems


def test_the_damaged_log_of_a_panel_gives_the_fixes_that_are_whole() -> None:
    whole, none = csv.read("panel.csv", (FILES / "panel.csv").read_bytes())
    damaged, problems = csv.read("panel.csv", (FILES / "panel_damaged.csv").read_bytes())
    assert whole is not None
    assert damaged is not None
    assert [problem.code for problem in none] == ["variation-unknown"]
    assert [problem.code for problem in problems] == ["lines-unreadable", "last-line-cut", "variation-unknown"]
    # 40 seconds were written; the 7th, 10th and 13th are destroyed and the last is cut
    assert sorted(set(range(40)) - set(damaged.time_s.astype(int).tolist())) == [7, 10, 13, 39]
    both = np.searchsorted(whole.time_s, damaged.time_s)
    np.testing.assert_array_equal(whole.latitude_deg[both], damaged.latitude_deg)


def test_a_table_in_the_habits_of_the_continent_is_read_whole() -> None:
    track, problems = csv.read("metric.csv", (FILES / "metric.csv").read_bytes())
    assert problems == ()
    assert track is not None
    assert track.altitude_m is not None
    np.testing.assert_allclose(track.altitude_m, [fix.altitude_ft * 0.3048 for fix in glide(40)], atol=0.06)


@pytest.mark.parametrize(
    "text,code",
    [
        ("1,2,3\n4,5,6\n", "no-titles"),
        ("name,weight\nMara,140\n", "no-titles"),
        ("Latitude,Longitude,Altitude\n44,-40,3000\n", "no-time-column"),
        ("UTC,Latitude,Longitude\n", "no-time-column"),
        ("UTC,Latitude,Longitude\n2026-05-14T14:00:00Z,,\n2026-05-14T14:00:01Z,,\n", "no-fixes"),
        ("UTC,Latitude,Longitude\n2026-05-14T14:00:00Z,44,-40\n2026-05-14T14:00:00Z,44,-40\n", "no-fixes"),
    ],
)
def test_a_table_that_holds_no_flight_is_refused_in_a_sentence(text: str, code: str) -> None:
    track, problems = csv.read("other.csv", text.encode())
    assert track is None
    assert [problem.code for problem in problems] == [code]
    assert problems[0].sentence().startswith("other.csv")


def test_a_line_without_end_is_one_bad_line() -> None:
    lines = text_lines()
    lines[20] = "9," * 300_000
    track, problems = read(lines)
    assert len(track.time_s) == 59
    assert problems["lines-unreadable"].place == "line 21"


def test_more_fixes_than_a_lesson_can_have_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(csv, "MOST_FIXES", 50)
    monkeypatch.setattr(csv, "_CHUNK_LINES", 20)
    track, problems = csv.read("flight.csv", table(TITLES, row))
    assert track is None
    assert [problem.code for problem in problems] == ["recording-too-long"]
