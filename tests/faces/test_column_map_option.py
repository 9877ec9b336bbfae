"""A column map on the command line: written, corrected by hand, given back."""

from __future__ import annotations

import json
import pathlib

import pytest

from tests.adapters.toml_texts import EXERCISE
from volplane import bootstrap
from volplane.faces.cli.main import main


@pytest.fixture
def here(tmp_path: pathlib.Path, monkeypatch: pytest.MonkeyPatch) -> pathlib.Path:
    """A folder with an exercise and a recording of the demo whose altitudes have lost their name."""
    for name, text in {**bootstrap.demo_texts(), "exercise.toml": EXERCISE}.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    data = next(each.data for each in bootstrap.demo_recordings() if each.file_name.endswith(".csv"))
    (tmp_path / "named.csv").write_bytes(data)
    (tmp_path / "renamed.csv").write_bytes(data.replace(b"GPS altitude (ft)", b"Flughoehe", 1))
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_a_column_nobody_can_guess_is_named_in_the_map_and_then_read(
    here: pathlib.Path, capsys: pytest.CaptureFixture[str]
) -> None:
    debrief = ["debrief", "renamed.csv", "--exercise", "exercise.toml", "--json"]
    assert main([*debrief, "--write-column-map", "map.toml"]) == 1
    capsys.readouterr()
    text = (here / "map.toml").read_text(encoding="utf-8")
    assert "Flughoehe" not in text
    column = '[[column]]\ntitle = "Flughoehe"\nchannel = "GPS altitude"\nunit = "ft"\n'
    (here / "map.toml").write_text(text + column, encoding="utf-8")
    assert main([*debrief, "--column-map", "map.toml"]) == 0
    mapped = json.loads(capsys.readouterr().out)
    assert main(["debrief", "named.csv", *debrief[2:]]) == 0
    named = json.loads(capsys.readouterr().out)
    assert [each["gates"] for each in mapped["attempts"]] == [each["gates"] for each in named["attempts"]]
    assert mapped["attempts"]


def test_a_file_without_columns_has_no_map_to_write(here: pathlib.Path, capsys: pytest.CaptureFixture[str]) -> None:
    (here / "track.igc").write_bytes(b"HFDTE140526\r\n")
    assert main(["debrief", "track.igc", "--exercise", "exercise.toml", "--write-column-map", "map.toml"]) == 2
    assert "is no table with titles" in capsys.readouterr().err
    assert not (here / "map.toml").exists()


def test_a_map_never_overwrites_the_recording(here: pathlib.Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = (here / "named.csv").read_bytes()
    assert main(["debrief", "named.csv", "--exercise", "exercise.toml", "--write-column-map", "named.csv"]) == 1
    assert "another file to write" in capsys.readouterr().err
    assert (here / "named.csv").read_bytes() == before
