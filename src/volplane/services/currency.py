"""How long ago a trainee flew the last exercise of each rung, and when the instructor wants to be reminded of it.

A reminder is no statement about what rules require: it counts days since the last exercise that is kept here.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from volplane.domain.debrief.results import Outcome
from volplane.services.keeping import Reader, Store
from volplane.services.kept import Lesson, Person, Role, Setting
from volplane.services.lesson_records import LessonRecord
from volplane.services.progress import FlownExercise, exercises_of
from volplane.services.rungs import Rung, rung_flown, usual_side

DAY_S = 86_400.0
REMINDER = "reminder_days"
# after so many days without an exercise; ours, to be set by the instructor
USUAL_DAYS = 60


@dataclass(frozen=True, slots=True)
class Reminder:
    """Somebody's last exercise is long ago: of that rung, or of any (None)."""

    person: str
    name: str
    rung: Rung | None
    days: int


def reminder_days(reader: Reader) -> int:
    """After how many days one is reminded; 0 is never."""
    known = reader.find(Setting, key=REMINDER)
    return int(known[0].value) if known else USUAL_DAYS


def keep_reminder_days(store: Store, days: int) -> None:
    """Set after how many days one is reminded; 0 is never."""
    known = store.find(Setting, key=REMINDER)
    store.change([Setting(REMINDER, str(days), known[0].version if known else 0)])


def reminders_of(reader: Reader, person: Person, now_unix_s: float) -> tuple[Reminder, ...]:
    """What is to be said of one trainee: that nothing was flown for long, else which of the rungs flown were not."""
    after = reminder_days(reader)
    if person.role is not Role.TRAINEE or not after:
        return ()
    last = last_of_each_rung(exercises_of(reader, person.key), reader.find(Lesson, trainee=person.key))
    if not last:
        return ()
    days = {rung: int((now_unix_s - when) // DAY_S) for rung, when in last.items()}
    if days[None] >= after:
        return (Reminder(person.key, person.name, None, days[None]),)
    return tuple(Reminder(person.key, person.name, rung, days[rung]) for rung in Rung if days.get(rung, 0) >= after)


def all_reminders(reader: Reader, now_unix_s: float) -> tuple[Reminder, ...]:
    """What is to be said of every trainee, by name."""
    people: Sequence[Person] = reader.find(Person, role=Role.TRAINEE)
    return tuple(each for person in people for each in reminders_of(reader, person, now_unix_s))


def last_of_each_rung(exercises: tuple[FlownExercise, ...], lessons: Sequence[Lesson]) -> dict[Rung | None, float]:
    """When the last exercise of each rung was flown, by its recording or by a lesson record; None is any rung."""
    usual = usual_side(exercises)
    flown = [each for each in exercises if each.attempt.outcome != Outcome.DISCONTINUED]
    found = [(rung_flown(each, usual), each.attempt.start_unix_s) for each in flown]
    for lesson in lessons:
        said = LessonRecord.of_text(lesson.document).words.rung
        found.append((next((rung for rung in Rung if rung.value == said), None), lesson.begun_unix_s))
    last: dict[Rung | None, float] = {}
    for rung, when in found:
        for key in {rung, None}:
            last[key] = max(when, last.get(key, when))
    return last
