"""Backup, export and the way back: everything is the same afterwards, and a bad copy changes nothing."""

from __future__ import annotations

import dataclasses
import hashlib
import json
import pathlib
import sqlite3
import zipfile
from collections.abc import Callable

import pytest

from tests.adapters.store.conftest import DATABASES
from tests.stores import AIRPLANE_TEXT, ORIGINAL, everything, file_store, fill
from volplane.adapters.store import copies
from volplane.adapters.store.inspecting import inspected
from volplane.adapters.store.store import SqlStore, open_store
from volplane.errors import FilesRefused
from volplane.services import kept
from volplane.services.safekeeping import StoreFinding

NOON_UNIX_S = 1_778_760_000.0


def files_of(folder: pathlib.Path) -> dict[str, bytes]:
    """Every file below a folder by its path."""
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def test_an_export_is_open_files_with_every_text_and_recording_as_it_came(
    store: SqlStore, tmp_path: pathlib.Path
) -> None:
    fill(store)
    written = copies.export(store.engine, tmp_path / "out")
    files = files_of(tmp_path / "out")
    assert files["texts/airplane/dunlin_tourer-airplane/1.toml"] == AIRPLANE_TEXT.encode()
    assert ORIGINAL in files.values()
    assert json.loads(files["debriefs/debrief.json"]) == {"schema": "volplane/debrief/1"}
    (person, _) = json.loads(files["records/person.json"])
    assert (person["name"], person["notes"]) == ("Mara Quist", "looks inside too long")
    assert written.counts["person"] == 2
    listed = json.loads(files["manifest.json"])["files"]
    assert set(listed) == set(files) - {"manifest.json"}


@pytest.mark.parametrize("there", DATABASES)
@pytest.mark.parametrize("here", DATABASES)
def test_export_brought_into_another_store_and_exported_again_is_byte_for_byte_the_same(
    here: str, there: str, database_address: Callable[[str], str], tmp_path: pathlib.Path
) -> None:
    first = open_store(database_address(here))
    fill(first)
    copies.export(first.engine, tmp_path / "first")
    kept_there = everything(first)
    first.close()
    other = tmp_path / "other.sqlite" if there == "sqlite" else database_address(there)
    copies.restore(str(other), tmp_path / "first", tmp_path, NOON_UNIX_S)
    second = open_store(str(other))
    copies.export(second.engine, tmp_path / "second")
    assert files_of(tmp_path / "first") == files_of(tmp_path / "second")
    assert everything(second) == kept_there
    second.close()


@pytest.mark.parametrize("name", ["backup.sqlite", "backup.zip"])
def test_a_backup_brings_everything_back_and_keeps_aside_what_was_there(
    store: SqlStore, tmp_path: pathlib.Path, name: str
) -> None:
    fill(store)
    before = everything(store)
    copies.back_up(store.engine, tmp_path / name)
    store.change([kept.Setting("later", "lost from the store, not from the copy")])
    later = everything(store)
    place = str(store.engine.url.render_as_string(hide_password=False))
    restored = copies.restore(place, tmp_path / name, tmp_path, NOON_UNIX_S)
    assert everything(store) == before
    assert restored.aside is not None
    assert "before-restore-20260514T120000Z" in restored.aside
    copies.restore(place, pathlib.Path(restored.aside), tmp_path, NOON_UNIX_S)
    assert everything(store) == later


def test_a_backup_is_one_file_that_reads_without_any_other(tmp_path: pathlib.Path) -> None:
    store = file_store(tmp_path)
    fill(store)
    folder = tmp_path / "elsewhere"
    folder.mkdir()
    copies.back_up(store.engine, folder / "backup.sqlite")
    assert [each.name for each in folder.iterdir()] == ["backup.sqlite"]
    moved = folder / "moved.sqlite"
    (folder / "backup.sqlite").rename(moved)
    other = open_store(str(moved))
    assert everything(other) == everything(store)


def test_a_sound_store_is_found_sound_and_counted(store: SqlStore) -> None:
    fill(store)
    found = inspected(store.engine)
    assert found.is_sound
    assert found.schema == "0001"
    assert found.counts["file_text"] == 4


DAMAGE = {
    "UPDATE original SET data = x'00'": (StoreFinding.ORIGINAL_CHANGED, "recording"),
    "DELETE FROM original": (StoreFinding.ORIGINAL_MISSING, "recording"),
    "DELETE FROM debrief": (StoreFinding.DANGLING, "attempt"),
    "UPDATE person SET role = 'passenger'": (StoreFinding.VALUE, "person"),
    "UPDATE gate SET height_m = 'low'": (StoreFinding.VALUE, "gate"),
    "UPDATE plan SET document = '{'": (StoreFinding.DOCUMENT, "plan"),
}


@pytest.mark.parametrize("damage", DAMAGE)
def test_damage_inside_a_file_is_found_and_such_a_backup_is_refused(damage: str, tmp_path: pathlib.Path) -> None:
    store = file_store(tmp_path)
    fill(store)
    store.close()
    bad = tmp_path / "bad.sqlite"
    copies.back_up(store.engine, bad)
    connection = sqlite3.connect(bad)
    connection.execute(damage)
    connection.commit()
    connection.close()
    faults = inspected(open_store(str(bad)).engine).faults
    assert DAMAGE[damage] in [(fault.finding, fault.kind) for fault in faults]
    before = everything(store)
    with pytest.raises(FilesRefused, match=r"bad\.sqlite: found a damaged backup"):
        copies.restore(store.place, bad, tmp_path, NOON_UNIX_S)
    assert everything(store) == before


def spoiled(export: pathlib.Path, path: str, change: Callable[[bytes], bytes]) -> pathlib.Path:
    """An export with one file changed."""
    file = export / path
    file.write_bytes(change(file.read_bytes()))
    return export


@pytest.mark.parametrize(
    "path, change, said",
    [
        ("texts/airplane/dunlin_tourer-airplane/1.toml", lambda data: data + b" ", "a file that was changed"),
        ("records/person.json", lambda data: data.replace(b"Mara", b"Lara"), "a file that was changed"),
        ("manifest.json", lambda data: b"{", "no JSON"),
        ("manifest.json", lambda data: b"[]", "no list of an export"),
        ("manifest.json", lambda data: data.replace(b"export/1", b"export/9"), "no list of an export"),
        ("manifest.json", lambda data: data.replace(b'"0001"', b'"9999"'), "the backup of a newer Volplane"),
    ],
)
def test_an_export_that_was_changed_is_refused_and_the_store_stays(
    path: str, change: Callable[[bytes], bytes], said: str, tmp_path: pathlib.Path
) -> None:
    store = file_store(tmp_path)
    fill(store)
    before = everything(store)
    copies.export(store.engine, tmp_path / "out")
    export = spoiled(tmp_path / "out", path, change)
    with pytest.raises(FilesRefused, match=said):
        copies.restore(store.place, export, tmp_path, NOON_UNIX_S)
    assert everything(store) == before


def test_nothing_outside_the_folder_of_an_export_is_read(tmp_path: pathlib.Path) -> None:
    store = file_store(tmp_path)
    fill(store)
    copies.export(store.engine, tmp_path / "out")
    secret = tmp_path / "secret.toml"
    secret.write_bytes(AIRPLANE_TEXT.encode())
    inside = b"texts/airplane/dunlin_tourer-airplane/1.toml"
    for path in ("records/file_text.json", "manifest.json"):
        spoiled(tmp_path / "out", path, lambda data: data.replace(inside, b"../secret.toml"))
    rows = (tmp_path / "out" / "records/file_text.json").read_bytes()
    listed = json.loads((tmp_path / "out" / "manifest.json").read_bytes())
    listed["files"]["records/file_text.json"]["sha256"] = hashlib.sha256(rows).hexdigest()
    (tmp_path / "out" / "manifest.json").write_text(json.dumps(listed), encoding="utf-8")
    with pytest.raises(FilesRefused, match=r"\.\./secret\.toml: found no such file"):
        copies.restore(str(tmp_path / "other.sqlite"), tmp_path / "out", tmp_path, NOON_UNIX_S)


@pytest.mark.parametrize("data", [b"", b"PK\x03\x04 cut off", b"SQLite format 3\0 cut off", b"name = 'x'"])
def test_a_file_that_is_no_backup_is_refused(data: bytes, tmp_path: pathlib.Path) -> None:
    store = file_store(tmp_path)
    fill(store)
    before = everything(store)
    (tmp_path / "file").write_bytes(data)
    with pytest.raises(FilesRefused, match="Nothing was changed"):
        copies.restore(store.place, tmp_path / "file", tmp_path, NOON_UNIX_S)
    with pytest.raises(FilesRefused, match="no such file"):
        copies.restore(store.place, tmp_path / "nothing", tmp_path, NOON_UNIX_S)
    assert everything(store) == before
    assert sorted(each.name for each in tmp_path.iterdir() if each.name.startswith(".")) == []


def test_a_damaged_store_is_moved_aside_as_it_is_and_the_backup_takes_its_place(tmp_path: pathlib.Path) -> None:
    store = file_store(tmp_path)
    fill(store)
    before = everything(store)
    copies.back_up(store.engine, tmp_path / "backup.sqlite")
    store.close()
    file = tmp_path / "volplane.sqlite"
    rubbish = b"no database any more" * 400
    file.write_bytes(rubbish)
    for ending in ("-wal", "-shm"):
        pathlib.Path(f"{file}{ending}").unlink(missing_ok=True)
    restored = copies.restore(str(file), tmp_path / "backup.sqlite", tmp_path, NOON_UNIX_S)
    assert restored.aside is not None
    assert pathlib.Path(restored.aside).read_bytes() == rubbish
    assert everything(open_store(str(file))) == before


def test_an_export_goes_into_a_new_or_empty_folder_only(tmp_path: pathlib.Path) -> None:
    store = file_store(tmp_path)
    fill(store)
    full = tmp_path / "full"
    full.mkdir()
    (full / "mine.txt").write_text("mine")
    with pytest.raises(FilesRefused, match="a new or empty folder"):
        copies.export(store.engine, full)
    assert files_of(full) == {"mine.txt": b"mine"}
    empty = tmp_path / "empty"
    empty.mkdir()
    copies.export(store.engine, empty)
    assert (empty / "manifest.json").exists()


def test_names_that_no_file_system_takes_become_names_it_takes(tmp_path: pathlib.Path) -> None:
    store = file_store(tmp_path)
    store.change(
        [
            kept.InstructorFile("a", kept.FileKind.AIRPLANE, '../../..\\ "Ä": <1>\n.toml'),
            kept.FileText("t", "a", 1, "x = 1", 0.0),
            dataclasses.replace(kept.Person("b", "n", kept.Role.TRAINEE, 0.0), key="../../evil"),
        ]
    )
    copies.export(store.engine, tmp_path / "out")
    assert [path for path in files_of(tmp_path / "out") if path.startswith("texts")] == ["texts/airplane/1-a/1.toml"]
    copies.restore(str(tmp_path / "other.sqlite"), tmp_path / "out", tmp_path, NOON_UNIX_S)
    assert everything(open_store(str(tmp_path / "other.sqlite"))) == everything(store)


def test_the_same_records_make_the_same_archive(store: SqlStore, tmp_path: pathlib.Path) -> None:
    fill(store)
    for name in ("first.zip", "second.zip"):
        copies.back_up(store.engine, tmp_path / name)
    assert (tmp_path / "first.zip").read_bytes() == (tmp_path / "second.zip").read_bytes()
    assert zipfile.ZipFile(tmp_path / "first.zip").testzip() is None
