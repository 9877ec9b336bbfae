"""The results file of many recordings is its own journal: whole lines count, nothing is lost or doubled."""

from __future__ import annotations

import json
import pathlib

import pytest

from volplane.adapters.journal import new_journal, resumed_journal
from volplane.errors import FilesRefused


def line(number: int) -> str:
    return json.dumps({"path": f"{number}.csv"})


def written(path: pathlib.Path, count: int) -> None:
    with new_journal(path) as journal:
        for number in range(count):
            journal.append(line(number))


def test_a_line_that_a_kill_cut_is_dropped_and_the_whole_ones_are_shown(tmp_path: pathlib.Path) -> None:
    path = tmp_path / "results.jsonl"
    written(path, 3)
    with path.open("ab") as stream:
        stream.write(b'{"path": "cut.c')
    seen: list[str] = []
    with resumed_journal(path, lambda entry: not seen.append(entry["path"])) as journal:
        journal.append(line(3))
    assert seen == ["0.csv", "1.csv", "2.csv"]
    assert path.read_text(encoding="utf-8").splitlines() == [line(number) for number in range(4)]


def test_lines_that_are_to_be_tried_again_are_taken_out_and_no_other(tmp_path: pathlib.Path) -> None:
    path = tmp_path / "results.jsonl"
    written(path, 3)
    with resumed_journal(path, lambda entry: entry["path"] != "1.csv") as journal:
        journal.append(line(1))
    assert path.read_text(encoding="utf-8").splitlines() == [line(0), line(2), line(1)]


def test_two_runs_cannot_write_one_file(tmp_path: pathlib.Path) -> None:
    path = tmp_path / "results.jsonl"
    with new_journal(path), pytest.raises(FilesRefused, match=r"results\.jsonl"):
        resumed_journal(path, lambda _: True)


def test_results_of_an_earlier_run_are_not_written_over(tmp_path: pathlib.Path) -> None:
    path = tmp_path / "results.jsonl"
    written(path, 1)
    with pytest.raises(FilesRefused, match="results of an earlier run"):
        new_journal(path)
    assert path.read_text(encoding="utf-8").splitlines() == [line(0)]


def test_a_file_that_is_no_journal_is_refused_and_left(tmp_path: pathlib.Path) -> None:
    path = tmp_path / "letter.txt"
    path.write_text("Dear instructor,\nit was windy.\n", encoding="utf-8")
    with pytest.raises(FilesRefused, match="letter"):
        resumed_journal(path, lambda _: True)
    assert path.read_text(encoding="utf-8").startswith("Dear instructor")
