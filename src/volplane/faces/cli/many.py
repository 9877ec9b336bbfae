"""What `volplane batch` and `volplane import` share: options, and what their processes do with one recording.

The classes here are made in the program that was started and sent to the processes that work for it.
"""

from __future__ import annotations

import argparse
import os
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from volplane.faces.cli import options

if TYPE_CHECKING:
    from volplane.domain.atmosphere.wind import WindProfile
    from volplane.domain.debrief.results import Debrief
    from volplane.domain.debrief.standards import Standard
    from volplane.domain.exercise.exercise import Exercise
    from volplane.errors import Refusal
    from volplane.services.importing import Prepared, Sender
    from volplane.services.many_recordings import Answered, Task
    from volplane.services.recordings import ColumnMap

MOST_WORKERS = 64


def add_folder_and_workers(parser: argparse.ArgumentParser) -> None:
    """Add the folder and how many processes work."""
    parser.add_argument("folder", help="the folder; recordings below it are found too, hidden files are left out")
    parser.add_argument(
        "--workers", metavar="N", type=_workers, help="so many processes work at once (default: one a processor)"
    )


def workers_asked_for(arguments: argparse.Namespace) -> int:
    """How many processes are to work."""
    return arguments.workers or min(MOST_WORKERS, os.cpu_count() or 1)


def _workers(text: str) -> int:
    if not (text.isascii() and text.isdigit() and 1 <= int(text[:4]) <= MOST_WORKERS):
        raise argparse.ArgumentTypeError(f"{text!r}: write a whole number from 1 to {MOST_WORKERS}")
    return int(text)


@dataclass(frozen=True, slots=True)
class Debriefed:
    """A debrief as its document and its headlines."""

    document: dict[str, Any]
    headlines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ForBatch:
    """Debriefs recordings against an exercise; makes itself ready in the process it is sent to."""

    exercise: Exercise
    wind: WindProfile | None
    qnh_pa: float | None
    standard: Standard | None
    column_map: ColumnMap | None

    def ready(self) -> ForBatch:
        """Itself, with everything loaded that a first recording would wait for."""
        options.wait_for_kernels()
        return self

    def __call__(self, task: Task) -> Answered[Debriefed]:
        """The debrief of a recording, or why there is none."""
        from volplane import bootstrap
        from volplane.errors import FilesRefused, Refusal
        from volplane.faces.documents.debrief import debrief_document
        from volplane.services.many_recordings import Answered

        try:
            recording = bootstrap.read_recording(task.name, task.data, self.column_map)
            if recording.is_refused:
                raise FilesRefused(recording.problems)
            debrief = bootstrap.debrief_read(
                recording, self.exercise, wind=self.wind, qnh_pa=self.qnh_pa, standard=self.standard
            )
        except Refusal as refusal:
            return refused(task, refusal)
        document = debrief_document(debrief)
        return Answered(Debriefed(document, tuple(each["headline"] for each in document["attempts"])))


@dataclass(frozen=True, slots=True)
class ForImport:
    """Debriefs recordings for the store, which is not touched; makes itself ready in the process it is sent to."""

    sender: Sender

    def ready(self) -> ForImport:
        """Itself, with everything loaded that a first recording would wait for."""
        options.wait_for_kernels()
        return self

    def __call__(self, task: Task) -> Answered[Prepared]:
        """A recording ready to be kept, or why it is none."""
        from volplane import bootstrap
        from volplane.errors import Refusal
        from volplane.services.many_recordings import Answered

        try:
            return Answered(bootstrap.prepare_for_store(self.sender, task, _document))
        except Refusal as refusal:
            return refused(task, refusal)


def refused(task: Task, refusal: Refusal) -> Answered[Any]:
    """The answer for a recording that was refused."""
    from volplane.faces.documents.problems import problems_of
    from volplane.services.many_recordings import Answered, renamed

    return Answered(None, renamed(problems_of(refusal), task.path))


def _document(debrief: Debrief) -> str:
    import json

    from volplane.faces.documents.debrief import debrief_document

    return json.dumps(debrief_document(debrief), ensure_ascii=False, allow_nan=False)
