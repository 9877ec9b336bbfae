"""How a database is reached: the file with its settings, or the server; and what its faults mean."""

from __future__ import annotations

import pathlib
import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from typing import Any

import sqlalchemy
from sqlalchemy import URL, Connection, Engine, event, make_url
from sqlalchemy.exc import ArgumentError, DBAPIError, NoSuchModuleError
from sqlalchemy.pool import NullPool

from volplane.services.keeping import StoreFault, StoreUnusable

# how long a writer waits for another before it gives up; a write takes milliseconds
BUSY_TIMEOUT_MS = 15_000
# how a transaction begins: a writer takes its turn at once, because one that read first could not write after another
WRITING = {"volplane_begin": "BEGIN IMMEDIATE"}
# tables that others point at are written anew on the way: what points where is seen to at the end, all at once
MIGRATING = {**WRITING, "volplane_points_anywhere": True}
# some orders are given outside any transaction
ALONE = {"volplane_begin": "", "isolation_level": "AUTOCOMMIT"}
# how a database file begins (SQLite, "Database File Format", section 1.3)
FILE_MARK = b"SQLite format 3\0"
_SERVER = "postgresql+psycopg"


def url_of(place: str) -> URL:
    """The address of a database: `sqlite:///FILE`, `postgresql://...`, or the name of a file.

    :raises StoreUnusable: it is the address of something else.
    """
    if "://" not in place:
        return URL.create("sqlite", database=place)
    try:
        url = make_url(place)
    except (ArgumentError, ValueError) as fault:
        raise StoreUnusable(_without_password(place), StoreFault.ADDRESS) from fault
    if url.drivername in ("postgresql", "postgres", _SERVER):
        return url.set(drivername=_SERVER)
    if url.drivername == "sqlite" and url.database:
        return url
    raise StoreUnusable(url.render_as_string(), StoreFault.ADDRESS)


def place_of(url: URL) -> str:
    """What an address is called in words: the file, or the address without its password."""
    if url.drivername == "sqlite":
        return url.database or ""
    return url.set(drivername="postgresql").render_as_string(hide_password=True)


def make_engine(url: URL, *, is_copy: bool = False) -> Engine:
    """The door to a database; nothing is opened yet. A copy is only read, and stays the one file it is.

    :raises StoreUnusable: the library for that server is not installed.
    """
    if url.drivername == "sqlite":
        engine = sqlalchemy.create_engine(url, poolclass=NullPool, connect_args={"check_same_thread": False})
        event.listen(engine, "connect", _set_up_copy if is_copy else _set_up_file)
        event.listen(engine, "begin", _begin)
        return engine
    try:
        return sqlalchemy.create_engine(url, pool_pre_ping=True, connect_args={"connect_timeout": 10})
    except (ImportError, NoSuchModuleError) as fault:
        raise StoreUnusable(place_of(url), StoreFault.NO_DRIVER) from fault


def is_file(engine: Engine) -> bool:
    """Whether the database is a file of this machine."""
    return engine.dialect.name == "sqlite"


def file_of(engine: Engine) -> pathlib.Path:
    """The file of a database that is one."""
    return pathlib.Path(engine.url.database or "")


@contextmanager
def writing(engine: Engine, options: Mapping[str, Any] = WRITING) -> Iterator[Connection]:
    """One transaction that writes: all of it or nothing, after other writers."""
    with faults_told(engine), engine.connect().execution_options(**options) as connection, connection.begin():
        yield connection


@contextmanager
def reading(engine: Engine) -> Iterator[Connection]:
    """One transaction that reads, as everything was at its start."""
    with faults_told(engine):
        plain = engine.connect()
        level = {} if is_file(engine) else {"isolation_level": "REPEATABLE READ"}
        with plain.execution_options(**level) as connection, connection.begin():
            yield connection


@contextmanager
def faults_told(engine: Engine) -> Iterator[None]:
    """Turns faults of the database that are nobody's mistake in the program into their refusal."""
    try:
        yield
    except DBAPIError as fault:
        told = fault_of(engine, fault)
        if told is None:
            raise
        raise told from fault
    except sqlite3.Error as fault:
        told = _file_fault(place_of(engine.url), fault)
        if told is None:
            raise
        raise told from fault


def fault_of(engine: Engine, fault: DBAPIError) -> StoreUnusable | None:
    """The refusal a database's fault means, None where it means a fault of ours."""
    place = place_of(engine.url)
    if isinstance(fault.orig, sqlite3.Error):
        return _file_fault(place, fault.orig)
    state = str(getattr(fault.orig, "sqlstate", None) or "")
    said = str(fault.orig).strip().splitlines()[0] if str(fault.orig).strip() else ""
    if state.startswith("53"):
        return StoreUnusable(place, StoreFault.FULL, said)
    if state in ("25006", "42501"):
        return StoreUnusable(place, StoreFault.READ_ONLY, said)
    if state in ("40001", "40P01", "55P03"):
        return StoreUnusable(place, StoreFault.BUSY, said)
    if state.startswith("XX"):
        return StoreUnusable(place, StoreFault.DAMAGED, said)
    if fault.connection_invalidated or state[:2] in ("08", "28", "3D", "57") or not state:
        return StoreUnusable(place, StoreFault.UNREACHABLE, said)
    return None


_FILE_FAULTS = {
    "SQLITE_BUSY": StoreFault.BUSY,
    "SQLITE_LOCKED": StoreFault.BUSY,
    "SQLITE_FULL": StoreFault.FULL,
    "SQLITE_READONLY": StoreFault.READ_ONLY,
    "SQLITE_PERM": StoreFault.READ_ONLY,
    "SQLITE_CORRUPT": StoreFault.DAMAGED,
    "SQLITE_NOTADB": StoreFault.NOT_A_STORE,
    "SQLITE_CANTOPEN": StoreFault.FOLDER,
    # a file that may not grow, a disk that does not answer
    "SQLITE_IOERR": StoreFault.FULL,
}


def _file_fault(place: str, fault: sqlite3.Error) -> StoreUnusable | None:
    name = getattr(fault, "sqlite_errorname", "") or ""
    found = next((each for key, each in _FILE_FAULTS.items() if name == key or name.startswith(f"{key}_")), None)
    return None if found is None else StoreUnusable(place, found, str(fault))


def _set_up_file(connection: Any, _record: object) -> None:
    # this library begins transactions itself, so that the schema changes in one too
    connection.isolation_level = None
    for pragma in (
        f"busy_timeout={BUSY_TIMEOUT_MS}",
        "journal_mode=WAL",
        "synchronous=FULL",
        "foreign_keys=ON",
        "secure_delete=ON",
        # what is sorted on the way stays in memory and leaves no file
        "temp_store=MEMORY",
    ):
        connection.execute(f"PRAGMA {pragma}")


def _set_up_copy(connection: Any, _record: object) -> None:
    connection.isolation_level = None
    connection.execute("PRAGMA query_only=ON")


def _begin(connection: Connection) -> None:
    if connection.get_execution_options().get("volplane_points_anywhere", False):
        connection.exec_driver_sql("PRAGMA foreign_keys=OFF")
    if begin := connection.get_execution_options().get("volplane_begin", "BEGIN"):
        connection.exec_driver_sql(begin)


def _without_password(place: str) -> str:
    head, _, tail = place.rpartition("@")
    return f"{head.split('://')[0]}://...@{tail}" if head else place
