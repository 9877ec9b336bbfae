"""Recordings of a folder into the store: debriefed elsewhere, kept here, each once; what is none is set aside.

Whatever is kept is kept by the one program that was started, so that it ends with it: a process that debriefs for it
never touches the store.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from volplane.domain.debrief.results import Debrief
from volplane.errors import FilesRefused, Problem
from volplane.services.column_maps import map_name
from volplane.services.keeping import Reader, Store
from volplane.services.keeping_debriefs import DebriefOptions
from volplane.services.kept import FileKind, FileText, InstructorFile, KeptDebrief, SetAside
from volplane.services.many_recordings import Result, Status, Task
from volplane.services.recordings import Recording
from volplane.services.sent_recordings import Debriefing, Sent, keep_sent
from volplane.services.shelf import ExerciseTexts


@dataclass(frozen=True, slots=True)
class Prepared:
    """A recording that was read and debriefed, ready to be kept; `now_unix_s` stood for today."""

    recording: Recording
    debrief: Debrief
    document: str
    now_unix_s: float
    column_map_text: str | None = None


@dataclass(frozen=True, slots=True)
class Sender:
    """What the recordings of an import are held against, and whose they are; `maps` are column maps by their name."""

    texts: ExerciseTexts
    trainee: str | None
    now_unix_s: float
    maps: Mapping[str, str]


def column_maps(reader: Reader) -> dict[str, str]:
    """The newest text of every column map that is kept, by the name of its file."""
    files = reader.find(InstructorFile, kind=FileKind.COLUMN_MAP)
    return {file.name: reader.find(FileText, file=file.key)[-1].text for file in files}


def prepared(
    sender: Sender, task: Task, titles: tuple[str, ...], debriefing: Callable[[str | None], Debriefing]
) -> Prepared:
    """A recording read and debriefed; `titles` are those of its columns, if it has any.

    :raises FilesRefused: it is no recording.
    :raises Refusal: it cannot be debriefed against the exercise.
    """
    map_text = sender.maps.get(map_name(titles)) if titles else None
    how = debriefing(map_text)
    recording = how.read(task.name, task.data)
    if recording.is_refused:
        raise FilesRefused(recording.problems)
    debrief = how.debrief(recording, sender.texts, DebriefOptions(sender.now_unix_s, column_map_text=map_text))
    return Prepared(recording, debrief, how.document(debrief), sender.now_unix_s, map_text)


def keep_prepared(store: Store, sender: Sender, task: Task, made: Prepared, code_version: str) -> KeptDebrief:
    """Keep a recording with its debrief; it is no longer set aside if it was."""
    sent = Sent(task.name, task.data, sender.trainee, column_map_text=made.column_map_text)
    how = Debriefing(
        lambda name, data: made.recording,
        lambda recording, texts, options: made.debrief,
        lambda debrief: made.document,
        code_version,
    )
    kept, _ = keep_sent(store, sender.texts, sent, how, made.now_unix_s)
    if aside := store.find(SetAside, key=task.sha256):
        store.change(remove=aside)
    return kept


def known_before(store: Store, sender: Sender, path: str, sha256: str, *, is_again: bool) -> Result[Prepared] | None:
    """What needs no work: a recording kept with its debrief, or one set aside before and not asked for again."""
    if kept_debrief(store, sender, sha256) is not None:
        return Result(path, sha256, Status.KNOWN)
    if is_again or not (found := store.find(SetAside, key=sha256)):
        return None
    return Result(path, sha256, Status.SET_ASIDE, found[0].tries, problems=_problems(found[0].problems, path))


def kept_debrief(store: Store, sender: Sender, sha256: str) -> str | None:
    """The key of the debrief a recording is kept with; None where it is not kept for this exercise and trainee."""
    texts = sender.texts
    found = store.find(
        KeptDebrief,
        recording=sha256,
        exercise_text=texts.exercise.key,
        airplane_text=texts.airplane.key,
        airfield_text=texts.airfield.key,
        trainee=sender.trainee,
    )
    return found[0].key if found else None


def set_aside(store: Store, result: Result[Prepared], problems: str, now_unix_s: float) -> None:
    """Remember a file that is no recording that can be used, with its reason (`volplane/problems/1`)."""
    if result.sha256 is None:
        # nothing is known of a file that could not be read; it is met again next time
        return
    found = store.find(SetAside, key=result.sha256)
    before = found[0] if found else SetAside(result.sha256, "", "", 0, now_unix_s)
    store.change(
        [
            replace(
                before,
                name=result.path,
                problems=problems,
                tries=before.tries + max(1, result.tries),
                set_aside_unix_s=now_unix_s,
            )
        ]
    )


def _problems(document: str, path: str) -> tuple[Problem, ...]:
    """The problems of a document, of the file as it is named now."""
    names = ("place", "found", "expected", "remedy", "code")
    return tuple(
        Problem(path, **{name: each[name] or "" for name in names}) for each in json.loads(document)["problems"]
    )
