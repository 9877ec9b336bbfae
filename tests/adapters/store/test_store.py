"""What is kept comes back as it was, all of it or none, whoever else is writing, on both databases."""

from __future__ import annotations

import dataclasses
import hashlib
import multiprocessing
import pathlib
import threading

import pytest

from tests.stores import (
    AIRPLANE_TEXT,
    KINDS,
    MORNING_UNIX_S,
    ORIGINAL,
    as_first_kept,
    everything,
    fill,
    records_of_every_kind,
)
from volplane.adapters.store.store import SqlStore, open_store
from volplane.adapters.store.tables import METADATA, TABLES
from volplane.services import keeping, kept
from volplane.services.keeping import ChangedMeanwhile, NotKeepable, NotKept


def test_every_kind_of_record_comes_back_as_it_was_kept(store: SqlStore) -> None:
    made = records_of_every_kind()
    assert {type(each) for each in made} == set(TABLES) == set(KINDS)
    assert fill(store) == tuple(as_first_kept(each) for each in made)
    assert {each for found in everything(store).values() for each in found} == {as_first_kept(each) for each in made}


def test_every_field_of_a_record_has_its_column_and_every_column_its_field() -> None:
    for kind, table in TABLES.items():
        assert {each.name for each in dataclasses.fields(kind)} == {each.name for each in table.columns}, kind
    assert {table.name for table in TABLES.values()} | {"original"} == set(METADATA.tables)


def test_a_recording_comes_back_byte_for_byte_and_is_kept_once(store: SqlStore) -> None:
    first = keeping.keep_recording(store, "a.gpx", ORIGINAL, "GPX", MORNING_UNIX_S)
    again = keeping.keep_recording(store, "copy of a.gpx", ORIGINAL, "GPX", MORNING_UNIX_S + 9.0)
    assert again == first
    assert first.key == hashlib.sha256(ORIGINAL).hexdigest()
    assert store.original(first.key) == ORIGINAL
    assert store.find(kept.KeptRecording) == (first,)


def test_a_text_is_kept_letter_for_letter_and_again_only_when_it_changed(store: SqlStore) -> None:
    airplane = kept.FileKind.AIRPLANE
    first = keeping.keep_text(store, airplane, "dunlin_tourer.toml", AIRPLANE_TEXT, 1.0)
    assert keeping.keep_text(store, airplane, "dunlin_tourer.toml", AIRPLANE_TEXT, 2.0) == first
    second = keeping.keep_text(store, airplane, "dunlin_tourer.toml", AIRPLANE_TEXT + "# more", 3.0)
    back = keeping.keep_text(store, airplane, "dunlin_tourer.toml", AIRPLANE_TEXT, 4.0)
    assert [each.text for each in store.find(kept.FileText)] == [AIRPLANE_TEXT, AIRPLANE_TEXT + "# more", AIRPLANE_TEXT]
    assert [first.number, second.number, back.number] == [1, 2, 3]
    assert keeping.present_text(store, airplane, "dunlin_tourer.toml") == back
    with pytest.raises(NotKept, match="airfield dunlin_tourer"):
        keeping.present_text(store, kept.FileKind.AIRFIELD, "dunlin_tourer.toml")


def test_a_clock_that_jumps_back_does_not_put_an_old_text_before_a_new_one(store: SqlStore) -> None:
    for now_unix_s, text in ((MORNING_UNIX_S, "a = 1"), (MORNING_UNIX_S - 1e9, "a = 2"), (MORNING_UNIX_S, "a = 3")):
        keeping.keep_text(store, kept.FileKind.AIRPLANE, "a.toml", text, now_unix_s)
    assert keeping.present_text(store, kept.FileKind.AIRPLANE, "a.toml").text == "a = 3"


def test_who_changes_a_record_that_somebody_changed_meanwhile_is_told_and_changes_nothing(store: SqlStore) -> None:
    mara, *_ = fill(store)
    assert isinstance(mara, kept.Person)
    (now,) = store.change([dataclasses.replace(mara, name="M. Quist")])
    assert now.version == 2
    with pytest.raises(ChangedMeanwhile, match="person mara"):
        store.change([kept.Setting("other", "1"), dataclasses.replace(mara, name="Quist")])
    assert store.get(kept.Person, "mara") == now
    assert store.find(kept.Setting, key="other") == ()


def test_the_same_new_record_twice_is_a_conflict(store: SqlStore) -> None:
    store.change([kept.Setting("retention_days", "730")])
    with pytest.raises(ChangedMeanwhile, match="setting retention_days"):
        store.change([kept.Setting("retention_days", "365")])


def test_what_others_point_at_cannot_be_removed_and_what_is_not_there_not_pointed_at(store: SqlStore) -> None:
    mara, *_ = fill(store)
    with pytest.raises(ChangedMeanwhile, match="record"):
        store.change(remove=[mara])
    with pytest.raises(ChangedMeanwhile, match="record"):
        store.change([kept.Lesson("stray", "nobody", 0.0, "{}")])
    assert store.get(kept.Person, "mara") == mara
    assert len(store.find(kept.Lesson)) == 1


def test_a_change_that_fails_at_its_end_leaves_nothing(store: SqlStore) -> None:
    with pytest.raises(ChangedMeanwhile, match="record"):
        # bytes of a recording that has no record
        store.change([kept.Setting("a", "1")], originals=[b"nobody's"])
    assert store.find(kept.Setting) == ()


def test_removed_records_are_gone_and_cannot_be_removed_twice(store: SqlStore) -> None:
    filled = fill(store)
    store.change(remove=filled)
    assert all(found == () for found in everything(store).values())
    with pytest.raises(NotKept, match="original"):
        store.original(hashlib.sha256(ORIGINAL).hexdigest())
    with pytest.raises(ChangedMeanwhile, match="setting"):
        store.change(remove=filled)


def test_a_snapshot_does_not_see_what_comes_while_it_is_read(store: SqlStore) -> None:
    with store.snapshot() as reader:
        assert reader.find(kept.Person) == ()
        fill(store)
        assert reader.find(kept.Person) == ()
    assert len(store.find(kept.Person)) == 2


def test_what_is_not_there_is_said_so(store: SqlStore) -> None:
    with pytest.raises(NotKept, match="no person nobody"):
        store.get(kept.Person, "nobody")


@pytest.mark.parametrize("name", ["Mara\0Quist", "Mara \ud800"])
def test_letters_that_no_database_keeps_are_refused(store: SqlStore, name: str) -> None:
    with pytest.raises(NotKeepable, match="name of person"):
        store.change([kept.Person("x", name, kept.Role.TRAINEE, 0.0)])


@pytest.mark.parametrize("seconds", [float("nan"), float("inf")])
def test_numbers_that_are_none_are_refused(store: SqlStore, seconds: float) -> None:
    with pytest.raises(NotKeepable, match="added_unix_s of person"):
        store.change([kept.Person("x", "Mara", kept.Role.TRAINEE, seconds)])


def test_empty_fields_are_found_as_such(store: SqlStore) -> None:
    fill(store)
    assert store.find(kept.Note, time_s=None) == ()
    assert len(store.find(kept.Note, is_private=True, author="tobias")) == 1
    assert [each.key for each in store.find(kept.InstructorFile, kind=kept.FileKind.AIRFIELD)] == ["airfield"]


def _count_up(address: str, name: str, times: int) -> None:
    """A program that adds settings of its own and counts one up that it shares with others."""
    store = open_store(address)
    for number in range(times):
        store.change([kept.Setting(f"{name} {number}", "kept")])
        while True:
            (shared,) = store.find(kept.Setting, key="shared")
            try:
                store.change([dataclasses.replace(shared, value=str(int(shared.value) + 1))])
                break
            except ChangedMeanwhile:
                continue
    store.close()


def test_two_programs_on_one_database_lose_nothing_of_each_other(address: str) -> None:
    store = open_store(address)
    store.change([kept.Setting("shared", "0")])
    context = multiprocessing.get_context("fork")
    programs = [context.Process(target=_count_up, args=(address, name, 8)) for name in ("first", "second")]
    for each in programs:
        each.start()
    for each in programs:
        each.join(60)
    assert [each.exitcode for each in programs] == [0, 0]
    assert store.get(kept.Setting, "shared").value == "16"
    assert len(store.find(kept.Setting)) == 17
    store.close()


def test_several_threads_use_one_store(store: SqlStore) -> None:
    faults: list[BaseException] = []

    def work(name: str) -> None:
        try:
            for number in range(10):
                store.change([kept.Setting(f"{name} {number}", "kept")])
                assert store.find(kept.Setting, key=f"{name} {number}")
        except BaseException as fault:
            faults.append(fault)

    threads = [threading.Thread(target=work, args=(name,)) for name in "abcd"]
    for each in threads:
        each.start()
    for each in threads:
        each.join(60)
    assert faults == []
    assert len(store.find(kept.Setting)) == 40


def test_two_programs_that_open_a_new_store_at_once_both_get_it(address: str) -> None:
    context = multiprocessing.get_context("fork")
    programs = [context.Process(target=_open_and_add, args=(address, name)) for name in ("first", "second", "third")]
    for each in programs:
        each.start()
    for each in programs:
        each.join(60)
    assert [each.exitcode for each in programs] == [0, 0, 0]
    store = open_store(address)
    assert {each.key for each in store.find(kept.Setting)} == {"first", "second", "third"}
    store.close()


def _open_and_add(address: str, name: str) -> None:
    store = open_store(address)
    store.change([kept.Setting(name, "kept")])
    store.close()


def test_nothing_of_a_purged_file_remembers_what_was_removed(tmp_path: pathlib.Path) -> None:
    store = open_store(str(tmp_path / "volplane.sqlite"))
    word = "a word nobody else writes"
    (kept_one,) = store.change([kept.Setting("a", word * 1000)])
    assert any(word.encode() in each.read_bytes() for each in tmp_path.iterdir())
    store.change(remove=[kept_one])
    store.purge()
    assert not any(word.encode() in each.read_bytes() for each in tmp_path.iterdir())
    store.close()
