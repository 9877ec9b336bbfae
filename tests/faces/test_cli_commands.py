"""The commands from files to files, as a person types them: an exercise, the demo's recordings, every slip of hand."""

from __future__ import annotations

import html
import json
import math
import os
import pathlib
import subprocess
import sys
import xml.etree.ElementTree
from collections.abc import Callable, Sequence
from typing import Any

import pytest

from tests.adapters.toml_texts import EXERCISE
from tests.faces.pages import text_of
from volplane import bootstrap
from volplane.compiled import cache_is_warm
from volplane.faces.cli.main import main
from volplane.faces.documents.wording import CAUTION_LINES
from volplane.faces.report import typesetting
from volplane.services.listing import DebriefSearch

pytestmark = pytest.mark.usefixtures("warm")
REASON = "the aim of the lesson is the fine-pitch glide"


@pytest.fixture(scope="module")
def warm() -> None:
    if not cache_is_warm():
        bootstrap.warm_kernels()


@pytest.fixture
def here(tmp_path: pathlib.Path, monkeypatch: pytest.MonkeyPatch) -> pathlib.Path:
    """A folder with an exercise of three files and the demo's recordings, in which the command is run."""
    for name, text in {**bootstrap.demo_texts(), "exercise.toml": EXERCISE}.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    for recording in bootstrap.demo_recordings():
        (tmp_path / recording.file_name).write_bytes(recording.data)
    monkeypatch.chdir(tmp_path)
    return tmp_path


class Terminal:
    """Runs commands in this process and gives back what they printed."""

    def __init__(self, capsys: pytest.CaptureFixture[str]) -> None:
        self.capsys = capsys

    def run(self, *arguments: str, serve: Callable[..., None] | None = None) -> tuple[int, str, str]:
        """Exit code, standard output, standard error."""
        code = main(arguments, serve=serve)
        said = self.capsys.readouterr()
        return code, said.out, said.err

    def document(self, *arguments: str, code: int = 0) -> dict[str, Any]:
        """The document a command prints with --json."""
        got, out, err = self.run(*arguments, "--json")
        assert got == code, err
        document: dict[str, Any] = json.loads(out)
        return document


@pytest.fixture
def terminal(capsys: pytest.CaptureFixture[str]) -> Terminal:
    return Terminal(capsys)


def change(path: pathlib.Path, before: str, after: str) -> None:
    """Type something else into a file."""
    text = path.read_text(encoding="utf-8")
    assert text.count(before) == 1, f"{before} stands {text.count(before)} times in {path.name}"
    path.write_text(text.replace(before, after), encoding="utf-8")


# -------------------------------------------------------------------------------------------------- plan


def test_plan_prints_the_same_gates_as_its_document(here: pathlib.Path, terminal: Terminal) -> None:
    code, out, err = terminal.run("plan", "exercise.toml")
    assert (code, err) == (0, "")
    document = terminal.document("plan", "exercise.toml")
    assert document["schema"] == "volplane/plan/1"
    for gate in document["gates"]:
        line = next(line for line in out.splitlines() if line.lower().startswith(gate["name"]))
        assert f" {gate['height_ft']:,.0f} " in line
        assert f" {50 * round(gate['altimeter_ft'] / 50):,} " in line


def test_a_plan_that_cannot_come_out_is_an_answer(here: pathlib.Path, terminal: Terminal) -> None:
    change(here / "exercise.toml", 'low_key_height = "1500 ft"', 'low_key_height = "600 ft"')
    assert terminal.document("plan", "exercise.toml")["feasible"] is False
    code, out, _ = terminal.run("plan", "exercise.toml")
    assert code == 0
    assert "Not possible as wished" in out
    assert "would help:" in out


def test_plan_exports_the_whiteboard(here: pathlib.Path, terminal: Terminal) -> None:
    code, out, _ = terminal.run("plan", "exercise.toml", "--export", "board.svg")
    assert code == 0
    assert out.startswith("Overhead to runway 25, left pattern")
    board = (here / "board.svg").read_text(encoding="utf-8")
    assert board.startswith("<svg")
    assert "var(--" not in board, "a file of its own has no style sheet to take colours from"
    assert all(html.escape(line) in board for line in CAUTION_LINES)
    assert "Quill Meadow: overhead to runway 25, left pattern" in board
    xml.etree.ElementTree.fromstring(board)


@pytest.mark.parametrize("ending", [".kml", ".gpx", ".geojson", ".csv"])
def test_plan_exports_path_and_gates(here: pathlib.Path, terminal: Terminal, ending: str) -> None:
    code, _, err = terminal.run("plan", "exercise.toml", "--export", f"exercise{ending.upper()}")
    assert (code, err) == (0, "")
    written = (here / f"exercise{ending.upper()}").read_text(encoding="utf-8")
    assert all(line in written for line in CAUTION_LINES)
    assert "Low key" in written


def test_plan_exports_nothing_but_what_it_can_draw(here: pathlib.Path, terminal: Terminal) -> None:
    code, out, err = terminal.run("plan", "exercise.toml", "--export", "exercise.toml")
    assert (code, out) == (2, "")
    assert "'exercise.toml' does not end in .svg, .kml, .gpx, .geojson or .csv" in err


# -------------------------------------------------------------------------------------------------- brief


def test_brief_names_each_caution_and_asks_for_a_reason(here: pathlib.Path, terminal: Terminal) -> None:
    code, out, err = terminal.run("brief", "exercise.toml", "-o", "card.pdf")
    assert (code, out) == (1, "")
    *cautions, sentence = err.splitlines()
    expected = [
        each for each in terminal.document("plan", "exercise.toml")["findings"] if each["severity"] == "caution"
    ]
    assert cautions == [f"Caution: {each['text']}" for each in expected]
    assert "no reason is given" in sentence
    assert not (here / "card.pdf").exists()


@pytest.mark.parametrize("paper", ["A5", "half-letter", "A4"])
def test_brief_writes_one_page_with_a_reason(here: pathlib.Path, terminal: Terminal, paper: str) -> None:
    import pypdfium2

    document = terminal.document("brief", "exercise.toml", "-o", "card.pdf", "--reason", REASON, "--paper", paper)
    assert document == {
        "schema": "volplane/brief/1",
        "file": "card.pdf",
        "sheet": "card",
        "paper": paper,
        "bytes": (here / "card.pdf").stat().st_size,
        "reason": REASON,
    }
    with pypdfium2.PdfDocument(here / "card.pdf") as pdf:
        assert len(pdf) == 1
        assert REASON in " ".join(pdf[0].get_textpage().get_text_range().split())


def test_a_stop_prints_no_card_whatever_the_reason(here: pathlib.Path, terminal: Terminal) -> None:
    change(here / "exercise.toml", 'touchdown_point = "1200 ft"', 'touchdown_point = "50 ft"')
    code, out, err = terminal.run("brief", "exercise.toml", "-o", "card.pdf", "--reason", REASON)
    assert (code, out) == (1, "")
    assert "No card is printed. The aim point lies" in err
    assert not (here / "card.pdf").exists()


def test_an_exercise_that_does_not_come_out_prints_no_card_and_says_what_would_help(
    here: pathlib.Path, terminal: Terminal
) -> None:
    change(here / "exercise.toml", 'low_key_height = "1500 ft"', 'low_key_height = "600 ft"')
    code, out, err = terminal.run("brief", "exercise.toml", "-o", "card.pdf", "--reason", REASON)
    assert (code, out) == (1, "")
    assert "This would help: " in err
    assert not (here / "card.pdf").exists()


def test_the_instructor_sheet_tells_how_the_plan_comes_out_when_asked(here: pathlib.Path, terminal: Terminal) -> None:
    wish = ("brief", "exercise.toml", "-o", "sheet.pdf", "--sheet", "instructor", "--paper", "A4", "--reason", REASON)
    document = terminal.document(*wish, "--runs", "100")
    assert (document["sheet"], document["paper"]) == ("instructor", "A4")
    text = text_of((here / "sheet.pdf").read_bytes())
    assert "Instructor sheet." in text
    assert "Flown 100 times" in text


def test_the_card_never_tells_how_a_plan_comes_out(here: pathlib.Path, terminal: Terminal) -> None:
    code, out, err = terminal.run("brief", "exercise.toml", "-o", "card.pdf", "--runs", "100")
    assert (code, out) == (2, "")
    assert "--runs: how a plan comes out stands on --sheet instructor only" in err


def test_ctrl_c_while_the_card_is_set_leaves_no_file(
    here: pathlib.Path, terminal: Terminal, monkeypatch: pytest.MonkeyPatch
) -> None:
    def stopped(*_: object) -> bytes:
        raise KeyboardInterrupt

    monkeypatch.setattr(typesetting, "typeset", stopped)
    before = sorted(os.listdir(here))
    assert terminal.run("brief", "exercise.toml", "-o", "card.pdf", "--reason", REASON)[0] == 130
    assert sorted(os.listdir(here)) == before


# -------------------------------------------------------------------------------------------------- debrief


def test_debrief_prints_the_headline_of_its_document(here: pathlib.Path, terminal: Terminal) -> None:
    for recording in bootstrap.demo_recordings():
        command = ("debrief", recording.file_name, "--exercise", "exercise.toml")
        code, out, err = terminal.run(*command)
        assert (code, err) == (0, "")
        document = terminal.document(*command)
        assert document["schema"] == "volplane/debrief/1"
        (attempt,) = document["attempts"]
        assert " ".join(out.replace("\u00a0", " ").split()).startswith(attempt["headline"].replace("\u00a0", " "))
        assert f"Outcome: {attempt['outcome']}." in out


def test_airplane_airfield_and_runway_stand_for_an_exercise(here: pathlib.Path, terminal: Terminal) -> None:
    parts = ("--airplane", "dunlin_tourer.toml", "--airfield", "quill_meadow.toml", "--runway", "25")
    day = ("--weight", "3,350 lb", "--qnh", "30.05 inHg", "--wind", "240 deg 8 kt")
    (attempt,) = terminal.document("debrief", "phone.gpx", *parts, *day)["attempts"]
    assert attempt["runway"] == "25"
    for level in attempt["wind"]:
        assert level["from_true_deg"] == pytest.approx(240.0)
        assert level["speed_kt"] == pytest.approx(8.0)


def test_a_heavier_airplane_glides_faster_in_the_same_recording(here: pathlib.Path, terminal: Terminal) -> None:
    # the weight changes the best glide speed by its root, so the required heights of the plan move with it
    command = ("debrief", "high.csv", "--exercise", "exercise.toml")
    light, heavy = (
        terminal.document(*command, "--weight", weight)["attempts"][0]["gates"][0]["lowest_ft"]
        for weight in ("2,800 lb", "3,650 lb")
    )
    assert light != heavy


@pytest.mark.parametrize(
    ("options", "said"),
    [
        ((), "give --exercise, or --airplane, --airfield and --runway"),
        (("--airplane", "dunlin_tourer.toml"), "--airfield --runway is missing"),
        (("--exercise", "exercise.toml", "--runway", "25"), "leave out --runway"),
    ],
)
def test_half_an_exercise_is_wrong_usage(
    here: pathlib.Path, terminal: Terminal, options: Sequence[str], said: str
) -> None:
    code, out, err = terminal.run("debrief", "high.csv", *options)
    assert (code, out) == (2, "")
    assert said in err


# -------------------------------------------------------------------------------------------------- check


def test_check_prints_the_sink_that_the_handbook_implies(here: pathlib.Path, terminal: Terminal) -> None:
    code, out, err = terminal.run("check", "dunlin_tourer.toml", "quill_meadow.toml", "exercise.toml")
    assert (code, err) == (0, "")
    # 109 kt along a path that falls 1 in 9.6; the mile and the foot are what they are defined to be
    sink_fpm = 109.0 * 1852.0 / 0.3048 / 60.0 * math.sin(math.atan(1.0 / 9.6))
    assert out.replace("\u00a0", " ").count(f"{sink_fpm:,.0f} fpm") == 2
    assert terminal.document("check", "dunlin_tourer.toml")["implied_sink_fpm"] == pytest.approx(sink_fpm, abs=0.06)


def test_check_names_figures_that_contradict_each_other_and_accepts_them(
    here: pathlib.Path, terminal: Terminal
) -> None:
    change(here / "dunlin_tourer.toml", "ratio = 9.6", 'ratio = 9.6\nsink = "700 fpm"')
    code, out, _ = terminal.run("check", "dunlin_tourer.toml")
    assert code == 0
    assert "glide.sink is 700 fpm" in out.replace("\u00a0", " ")
    (found,) = terminal.document("check", "dunlin_tourer.toml")["contradictions"]
    assert found["keys"] == ["glide.sink", "glide.best_speed", "glide.ratio"]


def test_check_looks_at_every_file_and_refuses_when_one_is_bad(here: pathlib.Path, terminal: Terminal) -> None:
    change(here / "dunlin_tourer.toml", "ratio = 9.6", "")
    code, out, err = terminal.run("check", "dunlin_tourer.toml", "quill_meadow.toml", "none.toml")
    assert code == 1
    assert "quill_meadow.toml: airfield, can be used" in out
    assert len(err.splitlines()) == 2
    document = terminal.document("check", "dunlin_tourer.toml", "none.toml", code=1)
    assert [problem["file"] for problem in document["problems"]] == ["dunlin_tourer.toml", "none.toml"]


# -------------------------------------------------------------------------------------------------- slips of hand

PLAN = ("plan", "exercise.toml")
DEBRIEF = ("debrief", "lesson.csv", "--exercise", "exercise.toml")
SLIPS = {
    "missing key": (PLAN, "dunlin_tourer.toml", "ratio = 9.6", "", "glide.ratio", "Write ratio = 9.6"),
    "unit missing": (PLAN, "dunlin_tourer.toml", '"3650 lb"', '"3650"', "weights.maximum", 'Write "3650 lb"'),
    "bare number": (PLAN, "dunlin_tourer.toml", '"3650 lb"', "3650", "weights.maximum", "without a unit"),
    "negative weight": (PLAN, "dunlin_tourer.toml", '"3650 lb"', '"-3650 lb"', "weights.maximum", "more than 0 lb"),
    "weight above the maximum": (PLAN, "exercise.toml", '"3350 lb"', '"3950 lb"', "weight", "above the maximum"),
    "stall above best speed": (PLAN, "dunlin_tourer.toml", '"68 kt"', '"118 kt"', "glide.best_speed", "the stall"),
    "unknown runway": (PLAN, "exercise.toml", 'runway = "25"', 'runway = "26"', "runway", 'Write "25" or "07"'),
    "wind above the airspeed": (PLAN, "exercise.toml", '"18 kt"', '"180 kt"', "weather.wind", "Check the wind"),
    "no such file": (PLAN, "exercise.toml", "quill_meadow", "quill", "airfield", "Check its name"),
}


@pytest.mark.parametrize("slip", SLIPS.values(), ids=list(SLIPS))
def test_a_slip_in_a_file_is_answered_in_one_sentence(
    here: pathlib.Path, terminal: Terminal, slip: tuple[tuple[str, ...], str, str, str, str, str]
) -> None:
    command, file, before, after, place, said = slip
    change(here / file, before, after)
    code, out, err = terminal.run(*command)
    assert (code, out, err.count("\n")) == (1, "", 1)
    assert place in err
    assert said in err
    assert "Traceback" not in err
    (problem,) = terminal.document(*command, code=1)["problems"]
    assert problem["place"].startswith(place)
    assert all(problem[key] for key in ("found", "expected", "remedy", "code", "sentence"))


def without_altitude(table: str) -> str:
    """A table of fixes without its fourth column, which is the altitude."""
    return "\n".join(
        ",".join(cell for index, cell in enumerate(line.split(",")) if index != 3) for line in table.split("\n")
    )


def five_degrees_north(table: str) -> str:
    """A table of fixes somewhere else."""
    return table.replace(",44.", ",49.").replace(",43.", ",48.")


RECORDINGS: dict[str, tuple[Callable[[str], str], str, str]] = {
    "empty": (lambda table: "", "an empty file", "Export the recording once more"),
    "no recording": (lambda table: "Dear diary,\nit rained.\n", "no titles", "Export"),
    "without altitude": (without_altitude, "not one altitude", "Export it again with altitude"),
    "far away": (five_degrees_north, "no nearer to Quill Meadow than", "Choose the airfield it was flown at"),
    "cut short": (lambda table: "\n".join(table.split("\n")[:5]), "4 fixes", "Send the recording of the whole lesson"),
}


@pytest.mark.parametrize("damage", RECORDINGS.values(), ids=list(RECORDINGS))
def test_a_recording_that_cannot_be_used_is_named_with_the_reason(
    here: pathlib.Path, terminal: Terminal, damage: tuple[Callable[[str], str], str, str]
) -> None:
    damaged, found, remedy = damage
    (here / "flown").mkdir()
    (here / "flown" / "lesson.csv").write_text(damaged((here / "high.csv").read_text(encoding="utf-8")))
    code, out, err = terminal.run("debrief", "flown/lesson.csv", "--exercise", "exercise.toml")
    assert (code, out, err.count("\n")) == (1, "", 1)
    assert err.startswith("flown/lesson.csv: found ")
    assert found in err
    assert remedy in err
    assert "Traceback" not in err


@pytest.mark.parametrize(
    ("option", "typed", "said"),
    [
        ("--qnh", "30.05", 'found "30.05" without a unit'),
        ("--qnh", "30.05 kt", "a pressure in inHg"),
        ("--qnh", "20 inHg", "an altimeter setting of 20.00 in"),
        ("--weight", "-5 lb", "less than the airplane itself weighs"),
        ("--weight", "3,900 lb", "above the maximum"),
        ("--wind", "240 8", 'Write the direction it comes from, then its speed: "240 deg 8 kt"'),
        ("--wind", "240 deg 300 kt", "less than the best glide speed, 104 kt"),
    ],
)
def test_a_slip_on_the_command_line_names_the_option(
    here: pathlib.Path, terminal: Terminal, option: str, typed: str, said: str
) -> None:
    command = ("debrief", "high.csv", "--exercise", "exercise.toml", option, typed)
    code, out, err = terminal.run(*command)
    assert (code, out, err.count("\n")) == (1, "", 1)
    assert err.startswith(f"command line, {option}: found ")
    assert said in err.replace("\u00a0", " ")


def test_all_slips_of_the_command_line_are_told_at_once(here: pathlib.Path, terminal: Terminal) -> None:
    slips = ("--qnh", "30.05", "--weight", "3350", "--wind", "8 kt")
    problems = terminal.document("debrief", "high.csv", "--exercise", "exercise.toml", *slips, code=1)["problems"]
    assert [problem["place"] for problem in problems] == ["--qnh", "--weight", "--wind"]


def test_a_runway_typed_on_the_command_line_is_blamed_there(here: pathlib.Path, terminal: Terminal) -> None:
    parts = ("--airplane", "dunlin_tourer.toml", "--airfield", "quill_meadow.toml", "--runway", "26")
    (problem,) = terminal.document("debrief", "high.csv", *parts, code=1)["problems"]
    assert (problem["file"], problem["place"]) == ("command line", "--runway")


# -------------------------------------------------------------------------------------------------- demo and serve


def test_the_demo_leaves_the_whole_job_in_a_folder(here: pathlib.Path, terminal: Terminal) -> None:
    code, out, err = terminal.run("demo", "--no-serve", "-o", "shown")
    assert (code, err) == (0, "")
    assert len(out.splitlines()) <= 40, "a screenful"
    names = {path.name for path in (here / "shown").iterdir()}
    assert {"exercise.toml", "plan.txt", "plan.json", "card.pdf", "whiteboard.svg", "phone.gpx"} <= names
    assert {f"debrief-{name}.{kind}" for name in ("high", "low", "phone") for kind in ("txt", "json")} <= names
    assert all(name in out for name in names)
    assert json.loads((here / "shown" / "plan.json").read_text(encoding="utf-8"))["feasible"] is True
    for recording in bootstrap.demo_recordings():
        (attempt,) = json.loads((here / "shown" / f"debrief-{recording.file_name[:-4]}.json").read_text())["attempts"]
        assert attempt["headline"].split()[0] in out


def test_the_demos_document_lists_files_that_are_there(here: pathlib.Path, terminal: Terminal) -> None:
    document = terminal.document("demo", "--no-serve", "-o", "shown")
    assert document["schema"] == "volplane/demo/1"
    assert sorted(document["files"]) == sorted(os.listdir(here / "shown"))
    assert [lesson["recording"] for lesson in document["debriefs"]] == ["high.csv", "low.csv", "phone.gpx"]


def test_the_demo_writes_over_nothing_that_somebody_has_changed(here: pathlib.Path, terminal: Terminal) -> None:
    change(here / "exercise.toml", 'entry_height = "2600 ft"', 'entry_height = "2700 ft"')
    own = (here / "exercise.toml").read_text(encoding="utf-8")
    code, out, err = terminal.run("demo", "--no-serve", "-o", ".")
    assert (code, out) == (1, "")
    assert "a file that somebody has changed" in err
    assert (here / "exercise.toml").read_text(encoding="utf-8") == own


def test_the_demo_serves_when_asked_and_not_without_a_terminal(here: pathlib.Path, terminal: Terminal) -> None:
    served: list[tuple[str, int | None]] = []

    def serve(host: str, port: int | None, house: Any, say: Callable[[str], None]) -> None:
        names = [line.file_name for line in house.lists.debriefs(DebriefSearch()).lines]
        assert sorted(names) == ["high.csv", "low.csv", "phone.gpx"]
        served.append((host, port))

    assert terminal.run("demo", serve=serve)[0] == 0
    assert served == []
    assert terminal.run("demo", "--serve", serve=serve)[0] == 0
    assert served == [("127.0.0.1", None)]


def test_serve_puts_the_exercise_of_a_file_on_the_bench(here: pathlib.Path, terminal: Terminal) -> None:
    weights: list[str] = []

    def serve(host: str, port: int | None, house: Any, say: Callable[[str], None]) -> None:
        assert (host, port) == ("127.0.0.1", 8123)
        (exercise,) = house.shelf.exercises()
        fields = house.workbench(house.shelf.exercise(exercise.file.key)).exercise_fields()
        weights.extend(field.text for field in fields if field.key == "weight")

    change(here / "exercise.toml", '"3350 lb"', '"3400 lb"')
    assert terminal.run("serve", "exercise.toml", "--port", "8123", "--database", "own.sqlite", serve=serve)[0] == 0
    assert weights == ["3,400 lb"]


def test_ctrl_c_is_how_serving_ends(here: pathlib.Path, terminal: Terminal) -> None:
    def serve(*_: object) -> None:
        raise KeyboardInterrupt

    assert terminal.run("serve", "--database", "own.sqlite", serve=serve) == (0, "", "Stopped.\n")


def test_serve_refuses_a_bad_exercise_before_it_listens(here: pathlib.Path, terminal: Terminal) -> None:
    change(here / "exercise.toml", 'runway = "25"', 'runway = "26"')
    code, _, err = terminal.run("serve", "exercise.toml", serve=lambda *_: pytest.fail("it listened"))
    assert code == 1
    assert 'Write "25" or "07"' in err


def test_without_a_server_serving_is_our_own_fault(here: pathlib.Path, terminal: Terminal) -> None:
    code, _, err = terminal.run("serve", "--database", "own.sqlite")
    assert code == 3
    assert "fault of Volplane itself (RuntimeError at volplane.faces.cli.serve:" in err


# -------------------------------------------------------------------------------------------------- as a process


def test_the_first_command_on_a_machine_says_what_it_waits_for(
    here: pathlib.Path, terminal: Terminal, monkeypatch: pytest.MonkeyPatch
) -> None:
    warmed: list[bool] = []
    monkeypatch.setattr("volplane.compiled.cache_is_warm", lambda: False)
    monkeypatch.setattr("volplane.bootstrap.warm_kernels", lambda: warmed.append(True))
    code, _, err = terminal.run("plan", "exercise.toml", "--json")
    assert (code, err, warmed) == (0, "Compiling the numerical kernels, once: about half a minute.\n", [True])


def test_a_plan_as_a_process_prints_one_document_and_nothing_else(here: pathlib.Path) -> None:
    command = [sys.executable, "-m", "volplane.faces.cli.main", "plan", "exercise.toml", "--json"]
    done = subprocess.run(command, capture_output=True, check=False, env={**os.environ, "PYTHONIOENCODING": "ascii"})
    assert (done.returncode, done.stderr) == (0, b"")
    assert json.loads(done.stdout.decode("ascii"))["schema"] == "volplane/plan/1"
