"""How long ago a trainee flew the last exercise of each rung, and when the instructor wants to be reminded of it.

A reminder is no statement about what rules require: it counts days since the last exercise that is kept here.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from volplane.domain.debrief.results import Outcome
from volplane.domain.exercise.exercise import GateName
from volplane.services.keeping import Reader, Store
from volplane.services.kept import Lesson, Person, Role, Setting
from volplane.services.lesson_records import LessonRecord
from volplane.services.listing import FlownLine
from volplane.services.rungs import Rung, rung_told, usual_side

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


def reminders_of(
    person: Person, flown: Sequence[FlownLine], lessons: Sequence[Lesson], after: int, now_unix_s: float
) -> tuple[Reminder, ...]:
    """What is to be said of one trainee: that nothing was flown for long, else which of the rungs flown were not.

    `flown` and `lessons` are the trainee's own; `after` so many days one is reminded.
    """
    last = last_of_each_rung(flown, lessons)
    if not last or not after:
        return ()
    days = {rung: int((now_unix_s - when) // DAY_S) for rung, when in last.items()}
    if days[None] >= after:
        return (Reminder(person.key, person.name, None, days[None]),)
    return tuple(Reminder(person.key, person.name, rung, days[rung]) for rung in Rung if days.get(rung, 0) >= after)


def all_reminders(reader: Reader, flown: Sequence[FlownLine], now_unix_s: float) -> tuple[Reminder, ...]:
    """What is to be said of every trainee, by name."""
    theirs: dict[str, list[FlownLine]] = {}
    for each in flown:
        theirs.setdefault(each.trainee, []).append(each)
    lessons: dict[str, list[Lesson]] = {}
    for lesson in reader.find(Lesson):
        lessons.setdefault(lesson.trainee, []).append(lesson)
    after = reminder_days(reader)
    return tuple(
        each
        for person in reader.find(Person, role=Role.TRAINEE)
        for each in reminders_of(person, theirs.get(person.key, ()), lessons.get(person.key, ()), after, now_unix_s)
    )


def last_of_each_rung(flown: Sequence[FlownLine], lessons: Sequence[Lesson]) -> dict[Rung | None, float]:
    """When the last exercise of each rung was flown, by its recording or by a lesson record; None is any rung.

    A discontinued exercise is none.
    """
    usual = usual_side([each.side for each in flown])
    found = [(_rung(each, usual), each.start_unix_s) for each in flown if each.outcome != Outcome.DISCONTINUED]
    for lesson in lessons:
        said = LessonRecord.of_text(lesson.document).words.rung
        found.append((next((rung for rung in Rung if rung.value == said), None), lesson.begun_unix_s))
    last: dict[Rung | None, float] = {}
    for rung, when in found:
        for key in {rung, None}:
            last[key] = max(when, last.get(key, when))
    return last


def _rung(flown: FlownLine, usual: str) -> Rung | None:
    keys = ((GateName.HIGH_KEY, flown.has_high_key), (GateName.LOW_KEY, flown.has_low_key))
    return rung_told([name for name, passed in keys if passed], flown.side, usual, flown.crosswind_mps)
