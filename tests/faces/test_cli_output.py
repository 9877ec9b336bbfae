"""Where words and files go: whole files or none, plain letters on narrow terminals, endings as exit codes."""

from __future__ import annotations

import io
import json
import os
import pathlib
import subprocess
import sys

import pytest

from volplane.errors import FilesRefused, WindNotBelowAirspeed
from volplane.faces.cli import faults, options, output
from volplane.faces.cli.main import main

STARTED = [sys.executable, "-m", "volplane.faces.cli.main"]


def test_a_written_file_is_whole_and_nothing_else_is_left(tmp_path: pathlib.Path) -> None:
    card = tmp_path / "card.pdf"
    card.write_bytes(b"old")
    output.write_file(str(card), b"new and longer")
    assert card.read_bytes() == b"new and longer"
    assert [path.name for path in tmp_path.iterdir()] == ["card.pdf"]


def test_a_stop_while_writing_leaves_the_old_file_and_no_half_one(
    tmp_path: pathlib.Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    card = tmp_path / "card.pdf"
    card.write_bytes(b"old")

    def stopped(source: str, target: str) -> None:
        raise KeyboardInterrupt("by hand")

    monkeypatch.setattr(os, "replace", stopped)
    with pytest.raises(KeyboardInterrupt, match="by hand"):
        output.write_file(str(card), b"new")
    assert card.read_bytes() == b"old"
    assert [path.name for path in tmp_path.iterdir()] == ["card.pdf"]


def test_a_link_stays_a_link_to_the_new_file(tmp_path: pathlib.Path) -> None:
    kept, link = tmp_path / "kept.pdf", tmp_path / "link.pdf"
    kept.write_bytes(b"old")
    link.symlink_to(kept)
    output.write_file(str(link), b"new")
    assert link.is_symlink()
    assert kept.read_bytes() == b"new"


@pytest.mark.parametrize(
    ("name", "code", "said"),
    [
        ("missing/card.pdf", "output-folder-missing", "Make the folder first"),
        ("", "output-is-folder", "Add the name of the file"),
        ("exercise.toml", "output-is-input", "Give the result another name"),
    ],
)
def test_a_bad_destination_is_refused_before_any_work(tmp_path: pathlib.Path, name: str, code: str, said: str) -> None:
    exercise = tmp_path / "exercise.toml"
    exercise.write_text("runway = '25'")
    with pytest.raises(FilesRefused, match=said) as refused:
        output.refuse_destination(str(tmp_path / name), [str(exercise), None])
    assert [problem.code for problem in refused.value.problems] == [code]
    assert exercise.read_text() == "runway = '25'"


def test_a_place_that_cannot_be_written_is_refused_with_the_reason(tmp_path: pathlib.Path) -> None:
    # a file where a folder should be cannot be written into by anybody, the superuser included
    (tmp_path / "file").write_text("")
    with pytest.raises(FilesRefused, match="cannot be written") as refused:
        output.write_file(str(tmp_path / "file" / "card.pdf"), b"new")
    assert refused.value.problems[0].code == "output-not-writable"


def test_a_device_is_written_to_and_not_replaced() -> None:
    output.write_file(os.devnull, b"new")
    assert not pathlib.Path(os.devnull).is_file()


def test_letters_a_terminal_lacks_become_plain_ones(monkeypatch: pytest.MonkeyPatch) -> None:
    narrow = io.TextIOWrapper(io.BytesIO(), encoding="ascii")
    monkeypatch.setattr(sys, "stdout", narrow)
    output.never_fail_on_letters()
    output.write("−140\u00a0ft, 14½\u00a0in, 240°, Zoë")
    narrow.flush()
    assert narrow.buffer.getvalue() == b"-140 ft, 14 1/2 in, 240 deg, Zo?\n"  # type: ignore[attr-defined]


def test_a_document_loses_no_letter_on_a_narrow_terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    narrow = io.TextIOWrapper(io.BytesIO(), encoding="ascii")
    monkeypatch.setattr(sys, "stdout", narrow)
    output.never_fail_on_letters()
    document = {"name": "Zoë −140 ½", "height_ft": None}
    output.write_json(document)
    narrow.flush()
    assert json.loads(narrow.buffer.getvalue()) == document  # type: ignore[attr-defined]


def test_a_document_with_a_number_json_does_not_know_is_our_fault() -> None:
    with pytest.raises(ValueError, match="not JSON compliant"):
        output.write_json({"height_ft": float("nan")})


def test_letters_that_steer_a_terminal_are_taken_out() -> None:
    assert output.without_control("Dunlin\x1b[31m Tourer\x07\u202e") == "Dunlin\ufffd[31m Tourer\ufffd\ufffd"
    assert output.without_control("−140\u00a0ft\nnext") == "−140\u00a0ft\nnext"


def test_a_sentence_stays_on_one_line(capsys: pytest.CaptureFixture[str]) -> None:
    output.say("a name\nof two lines\x1b[2J")
    assert capsys.readouterr().err == "a name of two lines\ufffd[2J\n"


def test_progress_is_silent_where_nobody_looks(capsys: pytest.CaptureFixture[str]) -> None:
    output.progress()("flying the first recording")
    assert capsys.readouterr().err == ""


def test_a_refusal_is_one_sentence_and_a_document(capsys: pytest.CaptureFixture[str]) -> None:
    refusal = WindNotBelowAirspeed(60.0, 55.0, 300.0)
    assert faults.answered(refusal, as_json=True) == 1
    said = capsys.readouterr()
    document = json.loads(said.out)
    assert document["schema"] == "volplane/problems/1"
    (problem,) = document["problems"]
    assert problem["code"] == "wind-not-below-airspeed"
    assert said.err == problem["sentence"] + "\n"
    assert "117 kt" in said.err.replace("\u00a0", " ")


def test_without_json_a_refusal_leaves_standard_output_empty(capsys: pytest.CaptureFixture[str]) -> None:
    assert faults.answered(WindNotBelowAirspeed(60.0, 55.0, 300.0), as_json=False) == 1
    assert capsys.readouterr().out == ""


def own_fault() -> BaseException:
    """A fault that went through a line of ours."""
    try:
        options.command(None, "broken", None, "", "")  # type: ignore[arg-type]
    except AttributeError as fault:
        return fault
    raise AssertionError


def test_our_own_fault_says_where_and_how_to_report_it_without_a_traceback(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("VOLPLANE_TRACEBACK", raising=False)
    assert faults.answered(own_fault(), as_json=True) == 3
    said = capsys.readouterr()
    assert "fault of Volplane itself (AttributeError at volplane.faces.cli.options:" in said.err
    assert "Please report it" in said.err
    assert "Traceback" not in said.err
    assert said.err.count("\n") == 1
    assert [problem["code"] for problem in json.loads(said.out)["problems"]] == ["own-fault"]


def test_the_traceback_comes_on_request_only(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("VOLPLANE_TRACEBACK", "1")
    assert faults.answered(own_fault(), as_json=False) == 3
    assert "Traceback (most recent call last):" in capsys.readouterr().err


def test_a_stop_by_hand_is_130(capsys: pytest.CaptureFixture[str]) -> None:
    assert faults.answered(KeyboardInterrupt(), as_json=True) == 130
    said = capsys.readouterr()
    assert (said.out, said.err) == ("", "Stopped; nothing half-written is left.\n")


@pytest.mark.parametrize(
    "arguments", [[], ["fly"], ["plan"], ["plan", "a.toml", "--jason"], ["plan", "a.toml", "--js"]]
)
def test_wrong_usage_is_2_and_leaves_standard_output_empty(
    capsys: pytest.CaptureFixture[str], arguments: list[str]
) -> None:
    assert main(arguments) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert "error: " in said.err


@pytest.mark.parametrize("arguments", [["--help"], ["plan", "--help"], ["--version"]])
def test_asking_for_help_is_0(capsys: pytest.CaptureFixture[str], arguments: list[str]) -> None:
    assert main(arguments) == 0
    said = capsys.readouterr()
    assert "volplane" in said.out
    assert said.err == ""


def test_a_reader_that_has_gone_is_no_fault() -> None:
    reading, writing = os.pipe()
    os.close(reading)
    done = subprocess.run([*STARTED, "--help"], stdout=writing, stderr=subprocess.PIPE, text=True, check=False)
    os.close(writing)
    assert (done.returncode, done.stderr) == (0, "")


def test_an_answer_nobody_can_keep_is_refused_in_one_sentence() -> None:
    full = pathlib.Path("/dev/full")
    assert full.exists(), "this test needs the device that is always full"
    with full.open("w") as nowhere:
        command = [*STARTED, "check", "--json", "no-such-file.toml"]
        done = subprocess.run(command, stdout=nowhere, stderr=subprocess.PIPE, text=True, check=False)
    assert done.returncode == 1
    assert "standard output: found a place that cannot be written (No space left on device)" in done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize(
    ("typed", "sound"), [("8100", True), ("1", True), ("0", False), ("65536", False), ("x", False)]
)
def test_a_port_is_a_number_somebody_can_listen_on(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, typed: str, sound: bool
) -> None:
    asked: list[int] = []
    monkeypatch.setattr("volplane.faces.cli.serve.run", lambda arguments: asked.append(arguments.port) or 0)
    assert main(["serve", "--port", typed]) == (0 if sound else 2)
    assert asked == ([int(typed)] if sound else [])
    assert sound or f"'{typed}' is no port" in capsys.readouterr().err
