"""Small tables: what is read into SI, and every slip told by line and title."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from volplane.adapters.tables import AIRSPEED_TITLES, MEASURE_TITLES, STAND_IN_TITLES, is_table_of, read_table

TITLES = "speed_kias,height_start_ft,height_end_ft,time_s,temperature_degc,weight_lb"
ROW = "85,6000,4290,120,11,3400"


def read(text: str, titles=MEASURE_TITLES):  # type: ignore[no-untyped-def]
    return read_table("points.csv", text.encode(), titles)


def sentences(text: str) -> list[str]:
    return [problem.sentence() for problem in read(text).problems]


def test_a_line_is_read_into_si() -> None:
    (row,) = read(f"{TITLES},bank_deg,configuration\n{ROW},30,gear down\n").rows
    assert row.line_number == 2
    # definitions: 1852 m, 0.3048 m, 273.15 K, 0.45359237 kg
    assert row.si["speed_kias"] == pytest.approx(85.0 * 1852.0 / 3600.0)
    assert row.si["height_start_ft"] == pytest.approx(6000.0 * 0.3048)
    assert row.si["temperature_degc"] == pytest.approx(284.15)
    assert row.si["weight_lb"] == pytest.approx(3400.0 * 0.45359237)
    assert row.si["bank_deg"] == pytest.approx(0.523599, rel=1e-5)
    assert row.words == {"configuration": "gear down"}


@pytest.mark.parametrize(
    "text",
    [
        f"# the morning of the 14th\n\n{TITLES}\n# first\n{ROW}\n",
        f"\ufeff{TITLES}\r\n{ROW}\r\n",
        f"{TITLES.replace(',', ';')}\n85,0;6000;4290;120;11;3400\n",
        f"{TITLES.replace(',', chr(9))}\n{ROW.replace(',', chr(9))}",
        f"note,{TITLES.upper()}\n windy ,{ROW}\n",
        f"weight lb,{TITLES.rsplit(',', 1)[0]}\n3400,85,6000,4290,120,11\n",
        f'{TITLES}\n"85","6000","4290",120,11,3400\n,,,,,\n',
    ],
    ids=["comments", "windows", "semicolons", "tabs", "other columns", "other order", "quotes"],
)
def test_tables_of_every_spreadsheet_are_read_alike(text: str) -> None:
    reading = read(text)
    assert reading.problems == ()
    assert [round(row.si["time_s"]) for row in reading.rows] == [120]
    assert reading.rows[0].si["weight_lb"] == pytest.approx(3400.0 * 0.45359237)


def test_an_empty_cell_of_an_optional_title_is_absent() -> None:
    (row,) = read(f"{TITLES},bank_deg,configuration\n{ROW},,\n").rows
    assert "bank_deg" not in row.si
    assert row.words == {}


def test_every_bad_cell_is_told_and_the_sound_lines_are_kept() -> None:
    text = f"{TITLES}\n{ROW}\nfast,6000,4290,120,11,3400\n85,6000,,120,300,3400\n"
    assert len(read(text).rows) == 1
    assert sentences(text) == [
        'points.csv, line 3, speed_kias: found "fast", expected a number. Write the number only; the title says kias.',
        "points.csv, line 4, height_end_ft: found an empty cell, expected a number. Fill it in, or take the line out.",
        "points.csv, line 4, temperature_degc: found 300 degc, expected -60 to 55 degc. Check the value and its unit.",
    ]


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("", "table-empty"),
        ("# nothing\n", "table-empty"),
        (f"{TITLES}\n", "table-empty"),
        ("speed,height\n1,2\n", "title-missing"),
        (f"{TITLES},time_s\n{ROW},120\n", "title-twice"),
        (f"{TITLES}\n" + f"{ROW}\n" * 2001, "table-too-long"),
        (f"{TITLES}\n" + "x" * 1_000_001, "table-too-large"),
        (f"{TITLES}\n85 kt,6000,4290,120,11,3400\n", "cell-no-number"),
        (f"{TITLES}\n1e999,6000,4290,120,11,3400\n", "cell-no-number"),
    ],
)
def test_what_is_no_table_is_told(text: str, code: str) -> None:
    reading = read(text)
    assert reading.rows == ()
    assert [problem.code for problem in reading.problems] == [code]


def test_a_missing_title_is_named() -> None:
    (said,) = sentences(f"{TITLES.replace('temperature_degc,', '')}\n85,6000,4290,120,3400\n")
    assert said.startswith("points.csv, line 1: found no title temperature_degc, expected speed_kias, height_start_ft")


def test_text_in_another_encoding_is_told_by_line() -> None:
    (problem,) = read_table("points.csv", f"{TITLES}\n85,\xb0".encode("latin-1"), MEASURE_TITLES).problems
    assert (problem.code, problem.place) == ("file-not-utf8", "line 2")


def test_a_table_is_told_from_other_tables_and_from_recordings() -> None:
    text = f"# mine\n{TITLES}\n{ROW}\n".encode()
    assert is_table_of(text, MEASURE_TITLES)
    assert not is_table_of(text, STAND_IN_TITLES)
    assert not is_table_of(text, AIRSPEED_TITLES)
    assert not is_table_of(b"UTC,Latitude (deg),Longitude (deg),IAS (kt)\n", MEASURE_TITLES)
    assert not is_table_of(b"\x00\xff\xfe", MEASURE_TITLES)
    assert not is_table_of(b"", MEASURE_TITLES)


@given(st.binary(max_size=300) | st.text(max_size=300).map(lambda text: f"{TITLES}\n{text}".encode("utf-8", "ignore")))
def test_no_bytes_make_the_reader_fail(data: bytes) -> None:
    reading = read_table("points.csv", data, MEASURE_TITLES)
    assert reading.rows or reading.problems
