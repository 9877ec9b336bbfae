"""`volplane airfields`: a table of one's own from raw tables, finding in it, and a file that can be planned with."""

from __future__ import annotations

import datetime
import json
import os
import pathlib
import tomllib
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from tests.airfield_tables import raw_tables
from volplane import bootstrap
from volplane.faces.cli.main import main
from volplane.faces.documents.quantities import schema
from volplane.faces.documents.wording import CAUTION_LINES
from volplane.units import FOOT_M


class Terminal:
    """Runs `volplane airfields` in this process and gives back what it printed."""

    def __init__(self, capsys: pytest.CaptureFixture[str]) -> None:
        self.capsys = capsys

    def run(self, *arguments: str) -> tuple[int, str, str]:
        """Exit code, standard output, standard error."""
        code = main(["airfields", *arguments])
        said = self.capsys.readouterr()
        return code, said.out, said.err

    def document(self, *arguments: str, code: int = 0) -> dict[str, Any]:
        """What it prints with --json."""
        got, out, err = self.run(*arguments, "--json")
        assert got == code, err
        document: dict[str, Any] = json.loads(out)
        return document


@pytest.fixture
def terminal(tmp_path: pathlib.Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Terminal:
    """A terminal in a folder with both raw tables, whose user has a data folder of their own that is not there yet."""
    monkeypatch.setenv("VOLPLANE_DATA", str(tmp_path / "data" / "volplane"))
    monkeypatch.chdir(tmp_path)
    for name, data in zip(("airports.csv", "runways.csv"), raw_tables(), strict=True):
        (tmp_path / name).write_bytes(data)
    return Terminal(capsys)


@pytest.fixture
def updated(terminal: Terminal) -> Terminal:
    """The same, with the table of the invented airfields in use."""
    code, _, err = terminal.run("update", "airports.csv", "runways.csv", "--dated", "2026-11-01")
    assert (code, err) == (0, "")
    return terminal


def test_the_shipped_table_answers_until_there_is_another(terminal: Terminal) -> None:
    document = terminal.document("find", "a", "--limit", "1")
    assert document["table"]["own"] is False
    assert document["found"] > 20_000
    assert terminal.document("find", "zzqm", code=1)["problems"][0]["code"] == "airfield-unknown"


def test_an_update_says_what_the_table_holds_and_is_used_from_then_on(terminal: Terminal) -> None:
    document = terminal.document("update", "runways.csv", "airports.csv", "--dated", "2026-11-01")
    assert (document["airfields"], document["runway_ends"], document["with_positions"]) == (4, 8, 6)
    assert pathlib.Path(document["file"]).is_file()
    answer = terminal.document("find", "meadow")
    assert (answer["table"]["dated"], answer["table"]["own"], answer["found"]) == ("2026-11-01", True, 3)
    assert [each.name for each in pathlib.Path(document["file"]).parent.iterdir()] == ["runway_ends.tsv.gz"]


def test_without_a_day_the_table_is_of_the_day_the_newer_file_was_changed(terminal: Terminal) -> None:
    for name, day in (("airports.csv", 3), ("runways.csv", 9)):
        moment = datetime.datetime(2026, 5, day, 12, tzinfo=datetime.UTC).timestamp()
        os.utime(name, (moment, moment))
    _, out, _ = terminal.run("update", "airports.csv", "runways.csv")
    assert "Table of runway ends of 2026-05-09" in out


def test_the_way_back_to_the_shipped_table(updated: Terminal) -> None:
    assert updated.document("update", "--shipped")["forgotten"] is True
    assert updated.document("update", "--shipped")["forgotten"] is False
    assert updated.document("find", "a", "--limit", "1")["table"]["own"] is False


def test_a_damaged_table_of_ones_own_is_told_with_the_way_back(updated: Terminal, tmp_path: pathlib.Path) -> None:
    own = tmp_path / "data" / "volplane" / "runway_ends.tsv.gz"
    own.write_bytes(own.read_bytes()[:100])
    code, out, err = updated.run("find", "meadow")
    assert (code, out) == (1, "")
    assert "--shipped" in err
    assert updated.run("update", "--shipped")[0] == 0


def test_a_data_folder_that_cannot_be_made_is_told(
    terminal: Terminal, tmp_path: pathlib.Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("VOLPLANE_DATA", str(tmp_path / "airports.csv" / "data"))
    code, _, err = terminal.run("update", "airports.csv", "runways.csv")
    assert code == 1
    assert "VOLPLANE_DATA" in err


def test_the_document_is_as_its_schema_says(updated: Terminal) -> None:
    validator = Draft202012Validator(schema("airfields"))
    for text in ("meadow", "zzqm", "zzup", "heights"):
        document = updated.document("find", text)
        assert list(validator.iter_errors(document)) == []
        described = schema("airfields")["properties"]
        assert set(document) == set(described)
        one = described["airfields"]["items"]["properties"]
        assert set(document["airfields"][0]) == set(one)
        assert set(document["airfields"][0]["runways"][0]) == set(one["runways"]["items"]["properties"])


def test_one_airfield_is_shown_with_bearings_lengths_and_doubts(updated: Terminal) -> None:
    code, out, err = updated.run("find", "dunlin", "meadow")
    assert (code, err) == (0, "")
    assert "Dunlin Meadow (ZZDM)" in out
    assert "058°" in out
    assert "238°" in out
    assert "4,400 ft from end to end by the positions, published are 4,000 ft; the shorter is used." in out.replace(
        "\u00a0", " "
    )
    assert "2026-11-01: compare with the current chart" in out.replace("\n", " ")
    assert all(line in out for line in CAUTION_LINES)


def test_an_end_without_positions_is_shown_as_not_used(updated: Terminal) -> None:
    _, out, _ = updated.run("find", "zzup")
    assert "Not used. The positions of its ends are not in the table." in out
    (airfield,) = updated.document("find", "zzup")["airfields"]
    assert [(each["usable"], each["latitude_deg"], each["length_ft"]) for each in airfield["runways"]] == [
        (False, None, None)
    ] * 2


def test_several_are_listed_and_not_more_than_asked_for(updated: Terminal) -> None:
    _, out, _ = updated.run("find", "meadow", "--limit", "2")
    assert out.startswith('Three airfields for "meadow"')
    assert ("ZZDM" in out, "ZZQM" in out, "ZZUP" in out) == (True, True, False)
    assert "one other" in out


def test_the_file_written_is_read_as_the_airfield_it_is(updated: Terminal, tmp_path: pathlib.Path) -> None:
    code, out, err = updated.run("find", "ZZQM", "--write", "quill.toml")
    assert (code, err) == (0, "")
    assert "quill.toml" in out
    airfield = bootstrap.load_airfield(tmp_path / "quill.toml")
    low, high = airfield.runway("07"), airfield.runway("25")
    assert airfield.name == "Quill Meadow"
    assert airfield.elevation_msl_m == pytest.approx(940 * FOOT_M, abs=0.02)
    # 400 ft of the 4,400 ft lie before the displaced threshold, which is 400 ft along 58.4 degrees true
    assert (low.length_m, high.length_m) == (
        pytest.approx(4000 * FOOT_M, abs=0.1),
        pytest.approx(4400 * FOOT_M, abs=0.1),
    )
    assert low.threshold_latitude_deg == pytest.approx(44.000575, abs=2e-6)
    assert low.elevation_msl_m == pytest.approx(938 * FOOT_M, abs=0.02)
    text = (tmp_path / "quill.toml").read_text(encoding="utf-8")
    assert "# The landing threshold is displaced by 400 ft." in text
    assert '# pattern = "left"' in text
    assert "traffic_pattern_height" not in tomllib.loads(text)


def test_an_airfield_without_elevation_or_positions_is_not_written(updated: Terminal, tmp_path: pathlib.Path) -> None:
    for text, lacks in (("zzne", "No elevation"), ("zzup", "No runway")):
        code, _, err = updated.run("find", text, "--write", "new.toml")
        assert code == 1
        assert err.startswith(lacks)
        assert not (tmp_path / "new.toml").exists()


def test_a_file_that_stands_there_is_never_written_over(updated: Terminal, tmp_path: pathlib.Path) -> None:
    (tmp_path / "mine.toml").write_text("mine", encoding="utf-8")
    code, _, err = updated.run("find", "ZZQM", "--write", "mine.toml")
    assert code == 1
    assert "a file that is there" in err
    assert (tmp_path / "mine.toml").read_text(encoding="utf-8") == "mine"


def test_of_several_none_is_written(updated: Terminal, tmp_path: pathlib.Path) -> None:
    code, _, err = updated.run("find", "meadow", "--write", "new.toml")
    assert code == 1
    assert "Write its code, such as ZZDM" in err
    assert not (tmp_path / "new.toml").exists()


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["update", "airports.csv"], "no table of runways"),
        (["update", "airports.csv", "nowhere.csv"], "no such file"),
        (["update", "airports.csv", "."], "a folder"),
    ],
)
def test_tables_that_cannot_be_used_leave_everything_as_it_was(
    updated: Terminal, arguments: list[str], words: str
) -> None:
    code, out, err = updated.run(*arguments)
    assert (code, out) == (1, "")
    assert words in err
    assert updated.document("find", "zzqm")["table"]["dated"] == "2026-11-01"


@pytest.mark.parametrize(
    "arguments",
    [
        [],
        ["find"],
        ["find", "meadow", "--limit", "0"],
        ["find", "meadow", "--write", "meadow.txt"],
        ["update"],
        ["update", "airports.csv", "runways.csv", "--dated", "May"],
        ["update", "airports.csv", "--shipped"],
    ],
)
def test_wrong_usage_is_exit_code_two(terminal: Terminal, arguments: list[str]) -> None:
    code, out, err = terminal.run(*arguments)
    assert (code, out) == (2, "")
    assert "usage: volplane airfields" in err
