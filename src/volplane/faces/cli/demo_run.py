"""The demo from end to end: the three files, the plan, the card, the recordings, their debriefs, all in one folder."""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from volplane import bootstrap
from volplane.domain.exercise.hand_alter import hand_alterations
from volplane.errors import FilesRefused, Problem
from volplane.faces.cli import output
from volplane.faces.cli.debrief_report import debrief_report
from volplane.faces.cli.plan_report import gate_columns, plan_report, title_of
from volplane.faces.cli.sheet import WITHOUT_TERMINAL, Column, Sheet
from volplane.faces.documents import debrief_words, wording
from volplane.faces.documents.debrief import debrief_document
from volplane.faces.documents.plan import plan_document
from volplane.faces.documents.quantities import as_text
from volplane.faces.documents.wording import IMPERIAL, Units
from volplane.faces.report.card import card_pdf
from volplane.faces.report.exports.board_file import whiteboard_file

if TYPE_CHECKING:
    from volplane.domain.debrief.results import Debrief
    from volplane.domain.exercise.plan import Plan

SCHEMA = "volplane/demo/1"
REASON = "demo lesson: every caution is briefed before the flight"
Say = Callable[[str], None]


@dataclass(frozen=True, slots=True)
class DemoLesson:
    """A recording of the demo with its debrief."""

    file_name: str
    trainee: str
    instructor: str
    note: str
    debrief: Debrief


@dataclass(frozen=True, slots=True)
class DemoResult:
    """What the demo made: the plan, the lessons, and the files by name in the order of the job."""

    folder: str
    plan: Plan
    lessons: tuple[DemoLesson, ...]
    files: tuple[str, ...]


class _Folder:
    """The demo's folder, which remembers what was written into it."""

    def __init__(self, path: str) -> None:
        self.path, self.names = path, list[str]()

    def write(self, name: str, data: bytes) -> None:
        """Write one file, whole or not at all."""
        output.write_file(os.path.join(self.path, name), data)
        self.names.append(name)

    def write_text(self, name: str, text: str) -> None:
        """Write a text with a line end at its end."""
        self.write(name, (text if text.endswith("\n") else text + "\n").encode())


def run_demo(path: str, say: Say) -> DemoResult:
    """Do the whole job once and keep everything in a folder.

    :raises FilesRefused: the folder cannot be used, or holds files of these names that somebody has changed.
    """
    folder = _ready_folder(path)
    say("Planning the exercise.")
    workbench = bootstrap.demo_workbench()
    plan = workbench.plan({})
    _write_plan(folder, plan, say)
    lessons = []
    for recording in bootstrap.demo_recordings():
        say(f"Debriefing {recording.file_name}.")
        debrief = bootstrap.debrief_bytes(recording.file_name, recording.data, workbench.exercise({}))
        _write_lesson(folder, recording.file_name, recording.data, debrief)
        who = (recording.trainee, recording.instructor, recording.note)
        lessons.append(DemoLesson(recording.file_name, *who, debrief))
    return DemoResult(path, plan, tuple(lessons), tuple(folder.names))


def _ready_folder(path: str) -> _Folder:
    """The folder with the demo's three input files in it."""
    try:
        os.makedirs(path, exist_ok=True)
    except OSError as fault:
        found = f"a folder that cannot be made ({fault.strerror or type(fault).__name__})"
        remedy = "Name another with -o."
        problem = Problem(path, "", found, "a folder for the demo's files", remedy, "output-not-writable")
        raise FilesRefused((problem,)) from fault
    texts = bootstrap.demo_texts()
    changed = [name for name, text in texts.items() if _differs(os.path.join(path, name), text)]
    if changed:
        found, remedy = "a file that somebody has changed", "Name another folder with -o, or move the file away."
        files = [os.path.join(path, name) for name in changed]
        raise FilesRefused(
            tuple(Problem(file, "", found, "the demo's own, or none", remedy, "output-changed") for file in files)
        )
    folder = _Folder(path)
    for name, text in texts.items():
        folder.write_text(name, text)
    return folder


def _differs(path: str, text: str) -> bool:
    try:
        with open(path, encoding="utf-8", errors="replace") as file:
            return file.read(len(text) + 2).strip() != text.strip()
    except FileNotFoundError:
        return False
    except OSError:
        return True


def _write_plan(folder: _Folder, plan: Plan, say: Say) -> None:
    folder.write_text("plan.txt", plan_report(plan, sheet=Sheet(WITHOUT_TERMINAL, is_bold=False)))
    folder.write_text("plan.json", as_text(plan_document(plan)))
    folder.write_text("whiteboard.svg", whiteboard_file(plan))
    say("Printing the card.")
    folder.write("card.pdf", card_pdf(plan, reason=REASON, altered=hand_alterations(plan)))


def _write_lesson(folder: _Folder, file_name: str, data: bytes, debrief: Debrief) -> None:
    name = os.path.splitext(file_name)[0]
    folder.write(file_name, data)
    report = debrief_report(debrief, sheet=Sheet(WITHOUT_TERMINAL, is_bold=False))
    folder.write_text(f"debrief-{name}.txt", report)
    folder.write_text(f"debrief-{name}.json", debrief_text(debrief))


def debrief_text(debrief: Debrief) -> str:
    """A debrief as the text of its document."""
    return as_text(debrief_document(debrief))


def demo_document(result: DemoResult, units: Units = IMPERIAL) -> dict[str, Any]:
    """The demo as `volplane/demo/1`: what was made, where it is, and each headline."""
    exercise = result.plan.exercise
    return {
        "schema": SCHEMA,
        "folder": result.folder,
        "files": list(result.files),
        "plan": {
            "airplane": exercise.airplane.name,
            "airfield": exercise.airfield.name,
            "runway": exercise.runway.name,
            "feasible": result.plan.feasible,
        },
        "debriefs": [
            {
                "recording": lesson.file_name,
                "trainee": lesson.trainee,
                "instructor": lesson.instructor,
                "headlines": [debrief_words.headline(attempt, units) for attempt in lesson.debrief.attempts],
            }
            for lesson in result.lessons
        ],
        "caution": list(wording.CAUTION_LINES),
    }


def demo_report(result: DemoResult, units: Units = IMPERIAL, sheet: Sheet | None = None) -> str:
    """The demo in a screenful: the gates, how each lesson ended, and where the files are."""
    page = Sheet() if sheet is None else sheet
    plan = result.plan
    page.headline(f"{title_of(plan.exercise)}: {plan.exercise.airplane.name} at {plan.exercise.airfield.name}")
    page.line("Airplane, airfield and people are invented; the recordings were flown by the program itself.")
    page.blank()
    page.table(gate_columns(plan, units)[:7])
    page.blank()
    page.table(
        [
            Column("Recording", [lesson.file_name for lesson in result.lessons], is_number=False),
            Column(
                "Flown by", [f"{each.trainee} with {each.instructor}" for each in result.lessons], False, importance=1
            ),
            Column("Debrief", [_endings(lesson.debrief, units) for lesson in result.lessons], is_number=False),
        ]
    )
    page.blank()
    page.line(f"Files in {os.path.join(result.folder, '')}: {wording.listed(result.files)}.")
    page.cautions()
    return page.text()


def _endings(debrief: Debrief, units: Units) -> str:
    if not debrief.attempts:
        return "No exercise in it."
    return " ".join(debrief_words.headline(attempt, units) for attempt in debrief.attempts)
