"""Who is forgotten is gone with everything that is theirs alone, on both databases; what others use stays."""

from __future__ import annotations

import dataclasses
import hashlib

import pytest

from tests.stores import MORNING_UNIX_S, ORIGINAL, everything, fill
from volplane.adapters.store.inspecting import inspected
from volplane.adapters.store.store import SqlStore
from volplane.services import forgetting, kept
from volplane.services.keeping import ChangedMeanwhile, NotKept

SHA = hashlib.sha256(ORIGINAL).hexdigest()


def mara(store: SqlStore) -> kept.Person:
    return store.get(kept.Person, "mara")


def of_somebody_else(store: SqlStore) -> kept.KeptDebrief:
    """The same recording, flown by two: a debrief of somebody else in the first one's lesson."""
    (one,) = store.find(kept.KeptDebrief)
    lena = kept.Person("lena", "Lena Ohm", kept.Role.TRAINEE, MORNING_UNIX_S)
    other = dataclasses.replace(one, key="other", trainee="lena", version=0)
    store.change([lena, other])
    return store.get(kept.KeptDebrief, "other")


def test_forgetting_leaves_nothing_of_a_person_and_a_sound_store(store: SqlStore) -> None:
    fill(store)
    gone = forgetting.forget_person(store, mara(store))
    left = everything(store)
    assert {type(each) for each in gone.goes} == {
        kept.Person,
        kept.Lesson,
        kept.KeptPlan,
        kept.PrintedCard,
        kept.KeptDebrief,
        kept.KeptAttempt,
        kept.KeptGate,
        kept.KeptStandardItem,
        kept.Note,
        kept.KeptRecording,
        kept.TeachingFlight,
        kept.FileText,
        kept.InstructorFile,
    }
    assert [each.key for each in left[kept.Person]] == ["tobias"]
    assert inspected(store.engine).is_sound
    with pytest.raises(NotKept, match="original"):
        store.original(SHA)


def test_what_somebody_else_uses_too_stays_and_names_the_forgotten_no_more(store: SqlStore) -> None:
    fill(store)
    other = of_somebody_else(store)
    forgetting.forget_person(store, mara(store))
    left = everything(store)
    assert left[kept.KeptDebrief] == (dataclasses.replace(other, lesson=None, version=2),)
    assert [each.key for each in left[kept.KeptRecording]] == [SHA]
    assert [each.key for each in left[kept.FileText]] == ["airfield-1", "airplane-1", "exercise-1", "airplane-2"]
    assert store.original(SHA) == ORIGINAL
    assert inspected(store.engine).is_sound


def test_somebody_who_keeps_something_of_theirs_at_the_same_moment_stops_the_forgetting(store: SqlStore) -> None:
    fill(store)
    person = mara(store)
    with store.snapshot() as reader:
        theirs = forgetting.belongings(reader, person)
    store.change([kept.Note("late", "debrief", "one more", MORNING_UNIX_S)])
    before = everything(store)
    with pytest.raises(ChangedMeanwhile, match="record"):
        store.change(theirs.stays_changed, remove=theirs.goes)
    assert everything(store) == before


def test_a_person_is_known_by_name_or_initials_and_not_when_two_have_them(store: SqlStore) -> None:
    fill(store)
    for name in ("Mara Quist", "mara quist", "MQ", " mq ", "mara"):
        assert forgetting.person_named(store, name).key == "mara"
    store.change([kept.Person("other", "Mia Quale", kept.Role.TRAINEE, 0.0, "MQ")])
    for name in ("mq", "Quist", ""):
        with pytest.raises(NotKept, match="no person"):
            forgetting.person_named(store, name)
    assert forgetting.person_named(store, "mara quist").key == "mara"


def test_without_a_retention_a_clock_that_jumps_a_century_takes_nothing(store: SqlStore) -> None:
    fill(store)
    store.change(remove=store.find(kept.Setting))
    before = everything(store)
    assert forgetting.forget_expired(store, MORNING_UNIX_S + 3.2e9).goes == ()
    assert everything(store) == before


def test_the_retention_counts_from_the_day_of_the_lesson(store: SqlStore) -> None:
    fill(store)
    forgetting.keep_retention(store, 30)
    assert forgetting.retention_days(store) == 30
    day_s = forgetting.DAY_S
    kinds = {type(each) for each in forgetting.expired(store, MORNING_UNIX_S + 29.9 * day_s).goes}
    # recording and plan of the fixture are of 1970
    assert kept.Lesson not in kinds
    assert kept.KeptDebrief in kinds
    kinds = {type(each) for each in forgetting.expired(store, MORNING_UNIX_S + 30.1 * day_s).goes}
    assert kept.Lesson in kinds
    assert kept.Person not in kinds
