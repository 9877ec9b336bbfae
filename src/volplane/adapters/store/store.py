"""The store on a database: opened, led to the schema of today, read and changed."""

from __future__ import annotations

import pathlib
import shutil
import uuid
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager

from sqlalchemy import Engine
from sqlalchemy.exc import IntegrityError

from volplane.adapters.store import engine as door
from volplane.adapters.store.migrating import bring_up_to_date, revision_of
from volplane.adapters.store.rows import Rows, in_order
from volplane.services import kept
from volplane.services.keeping import ChangedMeanwhile, R, Reader, StoreFault, StoreUnusable, Value


class SqlStore:
    """A store in an SQLite file or on a PostgreSQL server; see `volplane.services.keeping.Store`."""

    def __init__(self, engine: Engine) -> None:
        self.engine = engine

    @property
    def place(self) -> str:
        """Where it is: the file, or the server's address without a password."""
        return door.place_of(self.engine.url)

    def new_key(self) -> str:
        """A key nobody has had, which tells nothing."""
        return uuid.uuid4().hex

    def get(self, kind: type[R], key: str, /) -> R:
        """The record of that key."""
        with self.snapshot() as reader:
            return reader.get(kind, key)

    def find(self, kind: type[R], /, **same: Value) -> tuple[R, ...]:
        """The records whose fields equal all of these."""
        with self.snapshot() as reader:
            return reader.find(kind, **same)

    def original(self, recording: str, /) -> bytes:
        """A recording byte for byte."""
        with self.snapshot() as reader:
            return reader.original(recording)

    @contextmanager
    def snapshot(self) -> Iterator[Reader]:
        """Everything as it is now, however long the reading takes."""
        with door.reading(self.engine) as connection:
            yield Rows(connection)

    def change(
        self, keep: Sequence[R] = (), *, originals: Iterable[bytes] = (), remove: Sequence[kept.Record] = ()
    ) -> tuple[R, ...]:
        """Write and remove in one transaction."""
        try:
            with door.writing(self.engine) as connection:
                rows = Rows(connection)
                rows.remove(remove)
                now = {id(record): rows.keep(record) for record in in_order(keep)}
                for data in originals:
                    rows.keep_original(data)
        except IntegrityError as fault:
            # what one record points at was removed by somebody else, or is still pointed at
            raise ChangedMeanwhile("record", "") from fault
        return tuple(now[id(record)] for record in keep)

    def purge(self) -> None:
        """Write the database anew without what was removed, empty its log, take away what a kill left beside."""
        with door.faults_told(self.engine), self.engine.connect().execution_options(**door.ALONE) as connection:
            if door.is_file(self.engine):
                connection.exec_driver_sql("VACUUM")
                connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")
                _remove_leftovers(door.file_of(self.engine).parent)
            else:
                connection.exec_driver_sql("VACUUM FULL")

    def close(self) -> None:
        """Let go of every connection."""
        self.engine.dispose()


def open_store(place: str, *, is_made: bool = True) -> SqlStore:
    """The store at an address or in a file, led to the schema of today; made where there is none, unless told not to.

    :raises StoreUnusable: it cannot be opened, there is none, or a newer Volplane has written it.
    """
    engine = door.make_engine(door.url_of(place))
    try:
        if not is_made:
            _refuse_missing(engine)
        elif door.is_file(engine):
            _make_folder(engine)
        bring_up_to_date(engine)
    except BaseException:
        engine.dispose()
        raise
    return SqlStore(engine)


def _refuse_missing(engine: Engine) -> None:
    if door.is_file(engine):
        is_there = door.file_of(engine).exists()
    else:
        with door.reading(engine) as connection:
            is_there = revision_of(connection) is not None
    if not is_there:
        raise StoreUnusable(door.place_of(engine.url), StoreFault.MISSING)


def _remove_leftovers(folder: pathlib.Path) -> None:
    """Copies that were being made when their program was killed."""
    for pattern in (".volplane-restore-*", ".volplane-*.part"):
        for left in folder.glob(pattern):
            if left.is_dir():
                shutil.rmtree(left, ignore_errors=True)
            else:
                left.unlink(missing_ok=True)


def _make_folder(engine: Engine) -> None:
    file = door.file_of(engine)
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
    except OSError as fault:
        raise StoreUnusable(str(file), StoreFault.FOLDER, (fault.strerror or "").lower()) from fault
