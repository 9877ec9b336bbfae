"""What belongs to a person, handed out or forgotten; and what is older than somebody wants to keep it.

Forgetting a trainee takes their plans, cards, lessons, debriefs, notes and recordings, and the exercise files that
nobody else uses. Somebody who taught or wrote a note is taken out of what stays. The glide that was adopted from many
flights stays: it is a property of the airplane. Backups and copies elsewhere are not reached.
"""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from volplane.services import kept
from volplane.services.keeping import NotKept, Reader, Store
from volplane.services.keeping_debriefs import records_below

DAY_S = 86_400.0
RETENTION = "retention_days"


@dataclass(frozen=True, slots=True)
class Belongings:
    """Records that go with a person or a lesson, and those that stay without naming the person."""

    goes: tuple[kept.Record, ...]
    stays_changed: tuple[kept.Record, ...] = ()


def person_named(reader: Reader, name: str) -> kept.Person:
    """The one person of that name, initials or key.

    :raises NotKept: none, or several.
    """
    people = reader.find(kept.Person)
    wanted = name.strip().casefold()
    for field in ("key", "name", "initials"):
        found = [each for each in people if getattr(each, field).casefold() == wanted]
        if len(found) == 1:
            return found[0]
    raise NotKept("person", name)


def belongings(reader: Reader, person: kept.Person) -> Belongings:
    """Everything that goes when a person is forgotten, and what stays without them."""
    lessons = reader.find(kept.Lesson, trainee=person.key)
    of_lessons = {each.key for each in lessons}
    debriefs = [
        each
        for each in reader.find(kept.KeptDebrief)
        if each.trainee == person.key or (each.trainee is None and each.lesson in of_lessons)
    ]
    plans = reader.find(kept.KeptPlan, trainee=person.key)
    goes = [person, *lessons, *_with_plans(reader, plans), *_with_debriefs(reader, debriefs)]
    goes += _texts_nobody_else_uses(reader, [*plans, *debriefs])
    gone = {each.key for each in goes}
    return Belongings(tuple(goes), tuple(each for each in _without(reader, gone) if each.key not in gone))


def _without(reader: Reader, gone: Container[str | None]) -> Iterator[kept.Record]:
    """What points at somebody or something that goes, pointing at nobody instead."""
    for lesson in reader.find(kept.Lesson):
        if lesson.instructor in gone:
            yield replace(lesson, instructor=None)
    for debrief in reader.find(kept.KeptDebrief):
        if debrief.instructor in gone or debrief.lesson in gone:
            instructor = None if debrief.instructor in gone else debrief.instructor
            yield replace(debrief, instructor=instructor, lesson=None if debrief.lesson in gone else debrief.lesson)
    for note in reader.find(kept.Note):
        if note.author in gone:
            yield replace(note, author=None)


def forget_person(store: Store, person: kept.Person) -> Belongings:
    """Remove a person and what belongs to them, in one transaction, and leave nothing of it in the database's files.

    :raises ChangedMeanwhile: somebody kept something of theirs at the same moment.
    """
    with store.snapshot() as reader:
        theirs = belongings(reader, person)
    store.change(theirs.stays_changed, remove=theirs.goes)
    store.purge()
    return theirs


def export_of(reader: Reader, person: kept.Person) -> dict[type[kept.Record], list[kept.Record]]:
    """What a person gets to take away: what belongs to them and what it needs to be read, without private notes."""
    theirs = belongings(reader, person).goes
    lessons = {each.key for each in theirs if isinstance(each, kept.Lesson)}
    public = [each for one in theirs for each in _public(one, lessons)]
    wanted = {each.key: each for each in [*public, *_needed(reader, public)]}
    by_kind: dict[type[kept.Record], list[kept.Record]] = {}
    for key in sorted(wanted):
        by_kind.setdefault(type(wanted[key]), []).append(wanted[key])
    return by_kind


def _public(record: kept.Record, lessons: Container[str | None]) -> Iterator[kept.Record]:
    """A record as its person may read it; private notes are left out, and so is somebody else's lesson."""
    if isinstance(record, kept.Person):
        yield replace(record, notes="")
    elif isinstance(record, kept.KeptDebrief):
        yield record if record.lesson in lessons else replace(record, lesson=None)
    elif not (isinstance(record, kept.Note) and record.is_private):
        yield record


def keep_retention(store: Store, days: int | None) -> None:
    """Set how long lessons are kept; None is for ever."""
    known = store.find(kept.Setting, key=RETENTION)
    if days is None:
        store.change(remove=known)
    elif known:
        store.change([replace(known[0], value=str(days))])
    else:
        store.change([kept.Setting(RETENTION, str(days))])


def retention_days(reader: Reader) -> int | None:
    """How long lessons are kept; None is for ever."""
    known = reader.find(kept.Setting, key=RETENTION)
    return int(known[0].value) if known else None


def expired(reader: Reader, now_unix_s: float) -> Belongings:
    """Lessons, plans and debriefs that are older than the retention, with what belongs to them; nothing without one.

    A debrief is as old as its recording. Nothing is ever removed by the clock alone: somebody has to ask for it.
    """
    days = retention_days(reader)
    if days is None:
        return Belongings(())
    before = now_unix_s - days * DAY_S
    flown = {each.key: each.start_unix_s or each.kept_unix_s for each in reader.find(kept.KeptRecording)}
    lessons = [each for each in reader.find(kept.Lesson) if each.begun_unix_s < before]
    gone = {each.key for each in lessons}
    debriefs = [each for each in reader.find(kept.KeptDebrief) if flown[each.recording] < before or each.lesson in gone]
    plans = [each for each in reader.find(kept.KeptPlan) if each.planned_unix_s < before]
    goes = [*lessons, *_with_plans(reader, plans), *_with_debriefs(reader, debriefs)]
    goes += _texts_nobody_else_uses(reader, [*plans, *debriefs])
    return Belongings(tuple(goes))


def forget_expired(store: Store, now_unix_s: float) -> Belongings:
    """Remove what is older than the retention, and leave nothing of it in the database's files."""
    with store.snapshot() as reader:
        old = expired(reader, now_unix_s)
    if old.goes:
        store.change(remove=old.goes)
        store.purge()
    return old


def forget_debrief(store: Store, debrief: kept.KeptDebrief) -> bool:
    """Remove a debrief that was read with its version, with its notes; and its recording unless another one needs it.

    Whether the recording went too. Exercise files stay on the shelf.

    :raises ChangedMeanwhile: somebody else changed it since it was read.
    """
    with store.snapshot() as reader:
        goes = _with_debriefs(reader, [debrief])
    store.change(remove=goes)
    store.purge()
    return any(isinstance(each, kept.KeptRecording) for each in goes)


def _with_plans(reader: Reader, plans: Iterable[kept.KeptPlan]) -> list[kept.Record]:
    return [each for plan in plans for each in (plan, *reader.find(kept.PrintedCard, plan=plan.key))]


def _with_debriefs(reader: Reader, debriefs: Sequence[kept.KeptDebrief]) -> list[kept.Record]:
    """Debriefs with what hangs on them, and the recordings that no other debrief uses."""
    gone = {each.key for each in debriefs}
    found: list[kept.Record] = []
    for debrief in debriefs:
        found += [debrief, *records_below(reader.find, debrief.key), *reader.find(kept.Note, debrief=debrief.key)]
    for key in sorted({each.recording for each in debriefs}):
        if all(each.key in gone for each in reader.find(kept.KeptDebrief, recording=key)):
            found += [*reader.find(kept.KeptRecording, key=key), *reader.find(kept.TeachingFlight, recording=key)]
    return found


def _texts_nobody_else_uses(
    reader: Reader, users: Sequence[kept.KeptPlan | kept.KeptDebrief]
) -> list[kept.FileText | kept.InstructorFile]:
    """Texts of exercises that go with their only users, and the files that are left without a text."""
    gone = {each.key for each in users}
    found: list[kept.FileText] = []
    texts = {key: reader.get(kept.FileText, key) for key in {each.exercise_text for each in users}}
    for key in sorted(texts):
        others = (*reader.find(kept.KeptPlan, exercise_text=key), *reader.find(kept.KeptDebrief, exercise_text=key))
        if all(each.key in gone for each in others):
            found.append(texts[key])
    going = {each.key for each in found}
    files = sorted({each.file for each in texts.values()})
    empty = [each for each in files if all(text.key in going for text in reader.find(kept.FileText, file=each))]
    return [*found, *(reader.get(kept.InstructorFile, each) for each in empty)]


def _needed(reader: Reader, records: Sequence[kept.Record]) -> list[kept.Record]:
    """The texts, files and recordings that these point at, and the names of those who taught or wrote."""
    found: list[kept.Record] = []
    people: list[str | None] = []
    files: list[str | None] = []
    for each in records:
        if isinstance(each, kept.KeptPlan | kept.KeptDebrief):
            texts = (each.exercise_text, each.airplane_text, each.airfield_text)
            found += [reader.get(kept.FileText, key) for key in texts]
        if isinstance(each, kept.KeptDebrief):
            found.append(reader.get(kept.KeptRecording, each.recording))
            people.append(each.instructor)
        if isinstance(each, kept.Lesson):
            people.append(each.instructor)
            files += [each.airplane, each.airfield]
        if isinstance(each, kept.TeachingFlight):
            files.append(each.airplane)
        if isinstance(each, kept.Note):
            people.append(each.author)
    files += [each.file for each in found if isinstance(each, kept.FileText)]
    found += [replace(reader.get(kept.Person, key), notes="") for key in people if key is not None]
    return found + [reader.get(kept.InstructorFile, key) for key in files if key is not None]
