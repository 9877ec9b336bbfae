"""What people say about a debrief: the trainee's own view, and notes pinned to a second of the flight.

The trainee's own view is kept as notes that everybody may read: each begins with the question it answers and is pinned
to the start of the exercise flown.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from volplane.services.keeping import ChangedMeanwhile, Reader, Store
from volplane.services.kept import KeptDebrief, Note

# a debrief made again may find the start of an exercise a few seconds elsewhere; exercises lie minutes apart. Ours
_SAME_START_S = 20.0


class OwnQuestion(StrEnum):
    """What a trainee is asked before anything is shown."""

    TOUCHED = "Where did it touch?"
    SURE = "When were you sure of the field?"
    NEXT = "What would you do differently next time?"


@dataclass(frozen=True, slots=True)
class Said:
    """The notes of one exercise flown: the trainee's answers, and what was noted besides, in the order of time."""

    own: Mapping[OwnQuestion, str]
    notes: tuple[Note, ...]


def said_about(reader: Reader, debrief: str, spans_s: Sequence[tuple[float, float]], number: int) -> Said:
    """What was said about one of the exercises of a debrief; `spans_s` are start and end of each.

    A note belongs to the exercise it is nearest to; one that is pinned to no second belongs to all of them.
    """
    kept = reader.find(Note, debrief=debrief)
    start_s = spans_s[number][0]
    own = {question: note for question in OwnQuestion for note in kept if _answers(note, question, start_s)}
    others = [note for note in kept if not any(_is_answer(note, question) for question in OwnQuestion)]
    here = [note for note in others if note.time_s is None or _nearest(note.time_s, spans_s) == number]
    here.sort(key=lambda note: (note.time_s is not None, note.time_s or 0.0, note.written_unix_s))
    return Said({question: _answer(note, question) for question, note in own.items()}, tuple(here))


def keep_own_view(
    store: Store, debrief: KeptDebrief, start_s: float, answers: Mapping[OwnQuestion, str], now_unix_s: float
) -> None:
    """Keep a trainee's answers about the exercise that starts there; an empty one takes the earlier answer back."""
    kept = store.find(Note, debrief=debrief.key)
    keep: list[Note] = []
    remove: list[Note] = []
    for question in OwnQuestion:
        before = next((note for note in kept if _answers(note, question, start_s)), None)
        answer = answers.get(question, "").strip()
        if before is not None and not answer:
            remove.append(before)
        elif answer and before is not None:
            keep.append(replace(before, text=f"{question} {answer}"))
        elif answer:
            text = f"{question} {answer}"
            key = store.new_key()
            keep.append(Note(key, debrief.key, text, now_unix_s, False, start_s, debrief.trainee))
    store.change(keep, remove=remove)


def write_note(store: Store, note: Note) -> Note:
    """Keep a new note."""
    return store.change([note])[0]


def rewrite_note(store: Store, key: str, text: str, is_private: bool, seen_version: int) -> Note:
    """Change a note that was read as its version `seen_version`. :raises ChangedMeanwhile: somebody was faster."""
    return store.change([replace(_as_seen(store, key, seen_version), text=text, is_private=is_private)])[0]


def take_note_away(store: Store, key: str, seen_version: int) -> Note:
    """Remove a note that was read as its version `seen_version`. :raises ChangedMeanwhile: somebody was faster."""
    note = _as_seen(store, key, seen_version)
    store.change(remove=[note])
    return note


def _as_seen(store: Store, key: str, version: int) -> Note:
    note = store.get(Note, key)
    if note.version != version:
        raise ChangedMeanwhile("note", key)
    return note


def _is_answer(note: Note, question: OwnQuestion) -> bool:
    return not note.is_private and note.text.startswith(f"{question} ")


def _answers(note: Note, question: OwnQuestion, start_s: float) -> bool:
    return _is_answer(note, question) and note.time_s is not None and abs(note.time_s - start_s) < _SAME_START_S


def _answer(note: Note, question: OwnQuestion) -> str:
    return note.text.removeprefix(f"{question} ")


def _nearest(time_s: float, spans_s: Sequence[tuple[float, float]]) -> int:
    away = [max(start - time_s, time_s - end, 0.0) for start, end in spans_s]
    return away.index(min(away))
