"""A recording that was sent is debriefed against a kept exercise, and both are kept; what is no recording is not."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import dataclass

from volplane.domain.debrief.results import Debrief
from volplane.errors import FilesRefused
from volplane.services.keeping import Store, keep_recording
from volplane.services.keeping_debriefs import DebriefOf, DebriefOptions, keep_debrief
from volplane.services.kept import KeptDebrief
from volplane.services.recordings import Recording
from volplane.services.shelf import ExerciseTexts


@dataclass(frozen=True, slots=True)
class Sent:
    """A recorder's file as it was sent, and for whom: keys of people, None where nobody is named.

    `column_map_text` explains a table whose titles are not known.
    """

    file_name: str
    data: bytes
    trainee: str | None = None
    instructor: str | None = None
    column_map_text: str | None = None


@dataclass(frozen=True, slots=True)
class Debriefing:
    """How a recording is read, debriefed against an exercise, and written down; and by which code."""

    read: Callable[[str, bytes], Recording]
    debrief: Callable[[Recording, ExerciseTexts, DebriefOptions], Debrief]
    document: Callable[[Debrief], str]
    code_version: str


def keep_sent(
    store: Store, texts: ExerciseTexts, sent: Sent, how: Debriefing, now_unix_s: float
) -> tuple[KeptDebrief, Debrief | None]:
    """Debrief and keep; the same recording of the same person against the same texts is there already, and is found.

    The debrief as a value is None where it was found.

    :raises FilesRefused: it is no recording, or the exercise cannot be used.
    """
    if (known := _known(store, texts, sent)) is not None:
        return known, None
    recording = how.read(sent.file_name, sent.data)
    if recording.is_refused:
        raise FilesRefused(recording.problems)
    options = DebriefOptions(now_unix_s, column_map_text=sent.column_map_text)
    debrief = how.debrief(recording, texts, options)
    original = keep_recording(
        store,
        sent.file_name,
        sent.data,
        recording.format,
        now_unix_s,
        start_unix_s=debrief.recording.start_unix_s,
        end_unix_s=debrief.recording.end_unix_s,
    )
    of = DebriefOf(
        exercise_text=texts.exercise,
        airplane_text=texts.airplane,
        airfield_text=texts.airfield,
        options=options,
        code_version=how.code_version,
        made_unix_s=now_unix_s,
        trainee=sent.trainee,
        instructor=sent.instructor,
    )
    return keep_debrief(store, original, debrief, how.document(debrief), of), debrief


def _known(store: Store, texts: ExerciseTexts, sent: Sent) -> KeptDebrief | None:
    found = store.find(
        KeptDebrief,
        recording=hashlib.sha256(sent.data).hexdigest(),
        exercise_text=texts.exercise.key,
        airplane_text=texts.airplane.key,
        airfield_text=texts.airfield.key,
        trainee=sent.trainee,
    )
    alike = [each for each in found if DebriefOptions.of_text(each.options).column_map_text == sent.column_map_text]
    return alike[0] if alike else None
