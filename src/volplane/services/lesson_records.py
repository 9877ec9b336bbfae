"""The record of a lesson: what was flown on a day, by whom, against which standard, and what both said of it.

It is made from the debriefs of a day, corrected and added to by the instructor, and then stands as it was written, even
when a debrief is made again. Names stand in the lesson's own fields, not in its document, so that somebody who is
forgotten is gone from here too. A record is no endorsement.
"""

from __future__ import annotations

import dataclasses
import json
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from volplane.domain.exercise.exercise import GateName
from volplane.services.keeping import ChangedMeanwhile, NotKept, Reader, Store
from volplane.services.kept import FileText, KeptDebrief, KeptRecording, Lesson, Note
from volplane.services.lesson_notes import OwnQuestion
from volplane.services.progress import FlownExercise, exercises_of, is_inside
from volplane.services.rungs import Rung, rung_flown, usual_side

SCHEMA = "volplane/lesson/1"
DAY_S = 86_400.0


@dataclass(frozen=True, slots=True)
class RecordedExercise:
    """An exercise as the record holds it; `unmet` are the items of the standard that were not met."""

    start_unix_s: float
    runway: str
    side: str
    outcome: str
    touchdown_x_m: float | None
    go_around_height_m: float | None
    is_timely: bool | None
    verdict: str | None
    in_hand_m: float | None
    headwind_mps: float | None
    crosswind_mps: float | None
    items_observed: int
    unmet: tuple[str, ...]
    gates_outside: tuple[str, ...]

    @classmethod
    def of(cls, flown: FlownExercise) -> RecordedExercise:
        """What the record takes over of an exercise flown."""
        attempt = flown.attempt
        return cls(
            start_unix_s=attempt.start_unix_s,
            runway=attempt.runway,
            side=attempt.side,
            outcome=attempt.outcome,
            touchdown_x_m=flown.touchdown_x_m,
            go_around_height_m=attempt.go_around_height_m,
            is_timely=attempt.is_timely,
            verdict=attempt.verdict,
            in_hand_m=attempt.in_hand_m,
            headwind_mps=attempt.headwind_mps,
            crosswind_mps=attempt.crosswind_mps,
            items_observed=sum(each.is_met is not None for each in flown.items),
            unmet=tuple(each.item for each in flown.items if each.is_met is False),
            gates_outside=tuple(
                name.value for name in GateName if (gate := flown.gate(name)) is not None and is_inside(gate) is False
            ),
        )


@dataclass(frozen=True, slots=True)
class LessonWords:
    """What the instructor writes or confirms: everything of a record that is words."""

    place: str = ""
    airplane: str = ""
    rung: str = ""
    conditions: str = ""
    standard: str = ""
    deviations: str = ""
    own_assessment: str = ""
    remarks: str = ""


@dataclass(frozen=True, slots=True)
class LessonRecord:
    """A record: its words and the exercises it is about."""

    words: LessonWords
    exercises: tuple[RecordedExercise, ...]

    def to_text(self) -> str:
        """The record as JSON, in SI."""
        exercises = [dataclasses.asdict(each) for each in self.exercises]
        known: dict[str, Any] = {"schema": SCHEMA, **dataclasses.asdict(self.words), "exercises": exercises}
        return json.dumps(known, ensure_ascii=False, sort_keys=True)

    @classmethod
    def of_text(cls, text: str) -> LessonRecord:
        """The record that `to_text` wrote; a key that is not there is empty."""
        known = json.loads(text)
        words = {each.name: str(known.get(each.name, "")) for each in dataclasses.fields(LessonWords)}
        exercises = [
            RecordedExercise(
                **{
                    **each,
                    "unmet": tuple(each["unmet"]),
                    "gates_outside": tuple(each["gates_outside"]),
                }
            )
            for each in known.get("exercises", ())
        ]
        return cls(LessonWords(**words), tuple(exercises))


@dataclass(frozen=True, slots=True)
class LessonDay:
    """A day of a trainee that has debriefs and no record yet; `airplane` and `airfield` are keys of files.

    `own_words` are the trainee's answers to the questions before a debrief.
    """

    trainee: str
    begun_unix_s: float
    duration_s: float | None
    debriefs: tuple[KeptDebrief, ...]
    exercises: tuple[FlownExercise, ...]
    airplane: str
    airfield: str
    rung: Rung | None
    own_words: tuple[str, ...]

    @property
    def number(self) -> int:
        """The day as it stands in an address: whole days since 1970 UTC."""
        return int(self.begun_unix_s // DAY_S)

    @property
    def standards(self) -> tuple[str, ...]:
        """Where the items of the standard come from, each once."""
        return tuple(dict.fromkeys(item.source for each in self.exercises for item in each.items))


def days_without_record(reader: Reader, trainee: str) -> tuple[LessonDay, ...]:
    """The days of a trainee that wait for a record, the latest first."""
    flown = exercises_of(reader, trainee)
    usual = usual_side([each.attempt.side for each in flown])
    by_day: dict[int, list[tuple[KeptDebrief, KeptRecording]]] = {}
    for debrief in reader.find(KeptDebrief, trainee=trainee):
        if debrief.lesson is None:
            recording = reader.get(KeptRecording, debrief.recording)
            begun = recording.start_unix_s if recording.start_unix_s is not None else debrief.made_unix_s
            by_day.setdefault(int(begun // DAY_S), []).append((debrief, recording))
    days = [_day(reader, trainee, of_day, flown, usual) for _, of_day in sorted(by_day.items(), reverse=True)]
    return tuple(each for each in days if each.exercises)


def day_without_record(reader: Reader, trainee: str, number: int) -> LessonDay:
    """One of those days. :raises NotKept: there is none."""
    for day in days_without_record(reader, trainee):
        if day.number == number:
            return day
    raise NotKept("lesson", str(number))


def _day(
    reader: Reader,
    trainee: str,
    of_day: Sequence[tuple[KeptDebrief, KeptRecording]],
    flown: Sequence[FlownExercise],
    usual: str,
) -> LessonDay:
    keys = {debrief.key for debrief, _ in of_day}
    exercises = tuple(each for each in flown if each.debrief in keys)
    starts = [recording.start_unix_s or debrief.made_unix_s for debrief, recording in of_day]
    first = of_day[0][0]
    rungs = Counter(rung for each in exercises if (rung := rung_flown(each, usual)) is not None)
    return LessonDay(
        trainee=trainee,
        begun_unix_s=min(starts),
        duration_s=_recorded_s([recording for _, recording in of_day]),
        debriefs=tuple(debrief for debrief, _ in of_day),
        exercises=exercises,
        airplane=reader.get(FileText, first.airplane_text).file,
        airfield=reader.get(FileText, first.airfield_text).file,
        rung=rungs.most_common(1)[0][0] if rungs else None,
        own_words=_own_words(reader, [debrief for debrief, _ in of_day]),
    )


def _own_words(reader: Reader, debriefs: Sequence[KeptDebrief]) -> tuple[str, ...]:
    """What the trainee answered to the questions that stand before a debrief."""
    questions = tuple(f"{each} " for each in OwnQuestion)
    notes = [note for each in debriefs for note in reader.find(Note, debrief=each.key) if not note.is_private]
    return tuple(note.text for note in notes if note.text.startswith(questions))


def _recorded_s(recordings: Sequence[KeptRecording]) -> float | None:
    """From the first start to the last end that is recorded, None where a recording tells no time."""
    times = [(each.start_unix_s, each.end_unix_s) for each in {one.key: one for one in recordings}.values()]
    starts = [start for start, _ in times if start is not None]
    ends = [end for _, end in times if end is not None]
    if len(starts) != len(times) or len(ends) != len(times):
        return None
    return max(ends) - min(starts)


def keep_record(store: Store, day: LessonDay, words: LessonWords, duration_s: float | None) -> Lesson:
    """Keep the record of a day, and that its debriefs belong to it, in one transaction.

    :raises ChangedMeanwhile: one of the debriefs was changed since, or got a record already.
    """
    record = LessonRecord(words, tuple(RecordedExercise.of(each) for each in day.exercises))
    instructors = [each.instructor for each in day.debriefs if each.instructor is not None]
    lesson = Lesson(
        key=store.new_key(),
        trainee=day.trainee,
        begun_unix_s=day.begun_unix_s,
        document=record.to_text(),
        instructor=instructors[0] if instructors else None,
        airplane=day.airplane,
        airfield=day.airfield,
        duration_s=duration_s,
    )
    store.change([lesson, *(dataclasses.replace(each, lesson=lesson.key) for each in day.debriefs)])
    return dataclasses.replace(lesson, version=1)


def change_record(
    store: Store, lesson: Lesson, seen_version: int, words: LessonWords, duration_s: float | None
) -> Lesson:
    """Write other words into a record that was read as `seen_version`; its exercises stay.

    :raises ChangedMeanwhile: somebody else has changed it since.
    """
    if lesson.version != seen_version:
        raise ChangedMeanwhile("lesson", lesson.key)
    record = dataclasses.replace(LessonRecord.of_text(lesson.document), words=words)
    return store.change([dataclasses.replace(lesson, document=record.to_text(), duration_s=duration_s)])[0]
