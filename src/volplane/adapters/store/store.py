"""The store on a database: opened, led to the schema of today, read and changed."""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager

from sqlalchemy import Engine
from sqlalchemy.exc import IntegrityError

from volplane.adapters.store import engine as door
from volplane.adapters.store.migrating import bring_up_to_date
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
        """Write the database anew without what was removed from it, and empty its log."""
        with door.faults_told(self.engine), self.engine.connect().execution_options(**door.ALONE) as connection:
            if door.is_file(self.engine):
                connection.exec_driver_sql("VACUUM")
                connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")
            else:
                connection.exec_driver_sql("VACUUM FULL")

    def close(self) -> None:
        """Let go of every connection."""
        self.engine.dispose()


def open_store(place: str) -> SqlStore:
    """The store at an address or in a file, made where there is none, led to the schema of today.

    :raises StoreUnusable: it cannot be opened, or a newer Volplane has written it.
    """
    url = door.url_of(place)
    engine = door.make_engine(url)
    if door.is_file(engine) and url.database != ":memory:":
        _make_folder(engine)
    bring_up_to_date(engine)
    return SqlStore(engine)


def _make_folder(engine: Engine) -> None:
    file = door.file_of(engine)
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
    except OSError as fault:
        raise StoreUnusable(str(file), StoreFault.FOLDER, (fault.strerror or "").lower()) from fault
