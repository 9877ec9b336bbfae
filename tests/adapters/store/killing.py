"""Kills programs that work on a store at random moments, and looks at what they leave.

    python -m tests.adapters.store.killing ROUNDS SEED     prints the table of docs/store.md

Each round starts a process, kills it with SIGKILL at a moment drawn evenly over the time the work takes, opens the
store again and looks it through. A kill takes the program away, not the machine: what the operating system was handed
stays.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import pathlib
import random
import shutil
import signal
import sqlite3
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass

from tests.stores import everything, file_store, fill
from volplane.adapters.store import copies
from volplane.adapters.store import engine as door
from volplane.adapters.store.inspecting import inspected
from volplane.adapters.store.migrating import MIGRATIONS, bring_up_to_date, revision_of
from volplane.adapters.store.store import open_store
from volplane.services import kept
from volplane.services.keeping import keep_recording

Say = Callable[[bytes], None]
NOW_UNIX_S = 1_778_760_000.0

NEXT = """
import sqlalchemy as sa
from alembic import op

revision, down_revision, branch_labels, depends_on = "0002", "0001", None, None


def upgrade() -> None:
    op.create_table("hangar", sa.Column("key", sa.Text(), primary_key=True))
    with op.batch_alter_table("person") as person:
        person.add_column(sa.Column("weight_kg", sa.Float(53), nullable=True))
        person.alter_column("initials", new_column_name="letters")
    op.execute("UPDATE person SET weight_kg = 80.0")
    op.execute("INSERT INTO hangar (key) VALUES ('a')")
"""


@dataclass(frozen=True)
class Outcome:
    """What the killed rounds of one kind of work left."""

    work: str
    rounds: int
    killed: int
    done_before: int
    acknowledged: int
    half: int
    lost: int
    unsound: int


def next_migrations(folder: pathlib.Path) -> pathlib.Path:
    """The migrations of this program with one more, of the tests' own, that adds, renames and writes anew."""
    target = folder / "next-migrations"
    if not target.exists():
        shutil.copytree(MIGRATIONS, target, ignore=shutil.ignore_patterns("__pycache__"))
        (target / "versions" / "0002_next.py").write_text(NEXT, encoding="utf-8")
    return target


class Upload:
    """Recordings and what hangs on them come in, one after the other; each is acknowledged when it is kept."""

    name = "upload of recordings"

    def __init__(self, folder: pathlib.Path) -> None:
        self.folder = folder

    def prepare(self) -> None:
        """An empty store."""
        file_store(self.folder).close()

    def work(self, say: Say) -> None:
        """Eight recordings of a quarter of a megabyte."""
        store = open_store(str(self.folder / "volplane.sqlite"))
        for _ in range(8):
            data = os.urandom(250_000)
            say(keep_recording(store, "a.gpx", data, "GPX", NOW_UNIX_S).key.encode() + b"\n")

    def faults(self, said: bytes) -> tuple[int, int, int]:
        """Acknowledged records, halves, and acknowledged ones that are not there."""
        store = open_store(str(self.folder / "volplane.sqlite"))
        told = [line.decode() for line in said.split(b"\n") if len(line) == 64]
        there = {each.key for each in store.find(kept.KeptRecording)}
        half = sum(hashlib.sha256(store.original(key)).hexdigest() != key for key in there)
        half += max(0, len(there) - len(told) - 1)
        return len(told), half, len(set(told) - there)


class Import:
    """A whole export takes the place of what is kept."""

    name = "import of an export"

    def __init__(self, folder: pathlib.Path) -> None:
        self.folder = folder
        self.before: object = None
        self.after: object = None

    def prepare(self) -> None:
        """A store with something in it, and an export of another with more."""
        other = self.folder / "other"
        other.mkdir()
        full = file_store(other)
        fill(full)
        for number in range(12):
            keep_recording(full, f"{number}.gpx", os.urandom(100_000), "GPX", NOW_UNIX_S)
        copies.export(full.engine, self.folder / "export")
        store = file_store(self.folder)
        store.change([kept.Setting("before", "1")])
        self.before, self.after = everything(store), everything(full)

    def work(self, say: Say) -> None:
        """The import."""
        copies.restore(str(self.folder / "volplane.sqlite"), self.folder / "export", self.folder, NOW_UNIX_S)
        say(b"done\n")

    def faults(self, said: bytes) -> tuple[int, int, int]:
        """All of the old or all of the new; the new when it was acknowledged."""
        found = everything(open_store(str(self.folder / "volplane.sqlite")))
        told = said.count(b"done\n")
        return told, int(found not in (self.before, self.after)), int(bool(told) and found != self.after)


class Migration:
    """A store of an older schema is led to the next."""

    name = "migration"

    def __init__(self, folder: pathlib.Path) -> None:
        self.folder = folder
        self.people: object = None

    def prepare(self) -> None:
        """A store with records."""
        store = file_store(self.folder)
        fill(store)
        store.change([kept.Person(f"p{number}", "x" * 200, kept.Role.TRAINEE, 0.0) for number in range(2000)])
        self.people = self._people("initials")
        next_migrations(self.folder)

    def _people(self, column: str) -> list[tuple[object, ...]]:
        with door.reading(door.make_engine(door.url_of(str(self.folder / "volplane.sqlite")))) as connection:
            rows = connection.exec_driver_sql(f"SELECT key, name, {column} FROM person ORDER BY key").all()
            return [tuple(row) for row in rows]

    def work(self, say: Say) -> None:
        """One migration."""
        engine = door.make_engine(door.url_of(str(self.folder / "volplane.sqlite")))
        bring_up_to_date(engine, next_migrations(self.folder))
        say(b"done\n")

    def faults(self, said: bytes) -> tuple[int, int, int]:
        """The old schema or the new one with everybody in it, and the way on stays open."""
        engine = door.make_engine(door.url_of(str(self.folder / "volplane.sqlite")))
        with door.reading(engine) as connection:
            revision = revision_of(connection)
        told = said.count(b"done\n")
        half = int(self._people("initials" if revision == "0001" else "letters") != self.people)
        lost = int(bool(told) and revision != "0002")
        bring_up_to_date(engine, next_migrations(self.folder))
        return told, half + int(self._people("letters") != self.people), lost


class Backup:
    """Backups are written while the store is in use."""

    name = "backup"

    def __init__(self, folder: pathlib.Path) -> None:
        self.folder = folder
        self.held: object = None

    def prepare(self) -> None:
        """A store with some megabytes and one good backup."""
        store = file_store(self.folder)
        fill(store)
        for number in range(10):
            keep_recording(store, f"{number}.gpx", os.urandom(200_000), "GPX", NOW_UNIX_S)
        self.held = everything(store)
        copies.back_up(store.engine, self.folder / "backup.sqlite")

    def work(self, say: Say) -> None:
        """Three backups over the same name."""
        store = open_store(str(self.folder / "volplane.sqlite"))
        for _ in range(3):
            copies.back_up(store.engine, self.folder / "backup.sqlite")
            say(b"done\n")

    def faults(self, said: bytes) -> tuple[int, int, int]:
        """The name always holds a whole and sound backup."""
        copy = self.folder / "copy.sqlite"
        shutil.copy(self.folder / "backup.sqlite", copy)
        opened = open_store(str(copy))
        half = int(everything(opened) != self.held or not inspected(opened.engine).is_sound)
        return said.count(b"done\n"), half, 0


WORKS = (Upload, Import, Migration, Backup)


def killed(kind: type[Upload | Import | Migration | Backup], rounds: int, seed: int) -> Outcome:
    """Work that is killed so many times before its end, and what it left.

    A round whose work ended before its kill counts apart, and tells how long the work takes on so busy a machine.
    """
    chance = random.Random(seed)
    took_s = _one_round(kind, None)[0]
    counts = [0, 0, 0, 0, 0, 0]
    while counts[0] < rounds:
        round_s, was_killed, acknowledged, half, lost, unsound = _one_round(kind, chance.uniform(0.0, took_s))
        took_s = took_s if was_killed else min(took_s, round_s)
        for place, value in enumerate((was_killed, not was_killed, acknowledged, half, lost, unsound)):
            counts[place] += int(value)
    return Outcome(kind.name, counts[0] + counts[1], *counts)


def _one_round(
    kind: type[Upload | Import | Migration | Backup], after_s: float | None
) -> tuple[float, bool, int, int, int, int]:
    folder = pathlib.Path(tempfile.mkdtemp(prefix="volplane-killed-"))
    try:
        work = kind(folder)
        work.prepare()
        took_s, was_killed, said = _killed_after(work.work, after_s)
        unsound = int(not _is_whole(folder / "volplane.sqlite"))
        acknowledged, half, lost = work.faults(said)
        if kind is not Migration and not unsound:
            # a schema to come is not known to the program's own check
            unsound = int(not inspected(open_store(str(folder / "volplane.sqlite")).engine).is_sound)
        return took_s, was_killed, acknowledged, half, lost, unsound
    finally:
        shutil.rmtree(folder)


def _is_whole(file: pathlib.Path) -> bool:
    """The database's own checks, of its pages and of what points where."""
    with contextlib.closing(sqlite3.connect(file)) as connection:
        pages = connection.execute("PRAGMA integrity_check").fetchall()
        return pages == [("ok",)] and connection.execute("PRAGMA foreign_key_check").fetchone() is None


def _killed_after(work: Callable[[Say], None], after_s: float | None) -> tuple[float, bool, bytes]:
    """How long it took, whether it was killed before its end, and what it said."""
    reading, writing = os.pipe()
    begun = time.monotonic()
    child = os.fork()
    if child == 0:
        code = 1
        try:
            work(lambda line: (os.write(writing, line), None)[1])
            code = 0
        finally:
            os._exit(code)
    os.close(writing)
    if after_s is not None:
        time.sleep(after_s)
        os.kill(child, signal.SIGKILL)
    _, status = os.waitpid(child, 0)
    took_s = time.monotonic() - begun
    with os.fdopen(reading, "rb") as stream:
        said = stream.read()
    was_killed = os.WIFSIGNALED(status)
    assert was_killed or os.WEXITSTATUS(status) == 0, "the work failed before it was killed"
    return took_s, was_killed, said


def table(outcomes: list[Outcome]) -> str:
    """The outcomes as a table for a page."""
    head = "| work | rounds | killed at work | ended before | acknowledged | half-written | lost | unsound |"
    rows = [
        f"| {each.work} | {each.rounds} | {each.killed} | {each.done_before} | {each.acknowledged} | {each.half} "
        f"| {each.lost} | {each.unsound} |"
        for each in outcomes
    ]
    return "\n".join([head, "|---" * 8 + "|", *rows])


if __name__ == "__main__":
    print(table([killed(kind, int(sys.argv[1]), int(sys.argv[2])) for kind in WORKS]))
