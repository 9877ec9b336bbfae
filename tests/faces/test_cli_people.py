"""`volplane people NAME`: a trainee's path at the terminal and as a document."""

from __future__ import annotations

import json
import pathlib

import pytest

from tests.faces.test_documents_json import assert_valid
from tests.season import keep_season
from tests.stores import file_store
from volplane.faces.cli.main import main


@pytest.fixture
def season(tmp_path: pathlib.Path) -> str:
    """The address of a store with a season in it."""
    store = file_store(tmp_path)
    keep_season(store)
    store.close()
    return store.place


def test_a_path_is_told_with_landings_decisions_and_evidence(season: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["people", "Mara Quist", "--database", season]) == 0
    said = capsys.readouterr().out.replace("\u00a0", " ")
    assert "5 May 2026, 14:15 UTC: runway 25, left, touched 420 ft past the point" in said
    assert "Five landings." in said
    assert "One go-around: 1 in time, a good decision." in said
    assert "neither a success nor a failure, and in no figure here" in said
    assert "Half of 5 landings touched between 90 and 260 ft beyond the point, the median 150 ft past." in said
    assert "The height error at the low key falls by 33 ft from exercise to exercise (90 % between" in said


def test_under_five_exercises_it_says_too_few(season: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["people", "ilse brandner", "--database", season]) == 0
    said = capsys.readouterr().out
    assert "too few for a middle or a trend" in said
    assert "Better:" not in said


@pytest.mark.parametrize("name", ["Mara Quist", "Jonne Aalt", "Tobias Lund"])
def test_the_document_is_valid_by_its_schema(name: str, season: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["people", name, "--database", season, "--json"]) == 0
    document = json.loads(capsys.readouterr().out)
    assert_valid(document, "people")
    assert [each["name"] for each in document["people"]] == [name]


def test_the_list_of_everybody_has_no_progress(season: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["people", "--database", season, "--json"]) == 0
    document = json.loads(capsys.readouterr().out)
    assert_valid(document, "people")
    assert document["progress"] is None
    assert len(document["people"]) == 4


def test_a_name_beside_an_order_to_forget_is_wrong_usage(season: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["people", "Mara Quist", "--forget", "Jonne Aalt", "--database", season]) == 2
    assert "to forget somebody write --forget NAME" in capsys.readouterr().err
