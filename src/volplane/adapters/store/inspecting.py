"""Looks a whole store through: the database's own check, the hashes of the recordings, what points nowhere."""

from __future__ import annotations

import hashlib
import json
import typing
from collections.abc import Iterator
from enum import StrEnum
from types import UnionType
from typing import Any

from sqlalchemy import Connection, Engine, func, select

from volplane.adapters.store import engine as door
from volplane.adapters.store.migrating import revision_of
from volplane.adapters.store.tables import METADATA, ORIGINAL, RECORDING, TABLES
from volplane.services import kept
from volplane.services.safekeeping import CheckedStore, FoundFault, StoreFinding

# fields that hold JSON
_DOCUMENTS = ("document", "options", "configurations", "cautions", "problems")


def inspected(engine: Engine) -> CheckedStore:
    """The store as it is, with every fault in it.

    :raises StoreUnusable: it cannot be read at all.
    """
    with door.reading(engine) as connection:
        faults = [
            *_integrity(engine, connection),
            *_dangling(connection),
            *_originals(connection),
            *(fault for kind in TABLES for fault in _values(connection, kind)),
        ]
        return CheckedStore(door.place_of(engine.url), str(revision_of(connection)), counts(connection), tuple(faults))


def counts(connection: Connection) -> dict[str, int]:
    """How many records of each kind there are."""
    return {
        table.name: int(connection.scalar(select(func.count()).select_from(table)) or 0) for table in TABLES.values()
    }


def _integrity(engine: Engine, connection: Connection) -> Iterator[FoundFault]:
    """The database's own check of its pages and indexes; a server checks its pages when it reads them."""
    if door.is_file(engine):
        for (said,) in connection.exec_driver_sql("PRAGMA integrity_check"):
            if said != "ok":
                yield FoundFault(StoreFinding.INTEGRITY, "file", "", str(said))


def _dangling(connection: Connection) -> Iterator[FoundFault]:
    """Rows that point at a row that is not there."""
    for table in METADATA.sorted_tables:
        for column in table.columns:
            for foreign in column.foreign_keys:
                parent = foreign.column.table.alias("parent")
                known = select(parent.c.key).where(parent.c.key == column).exists()
                query = select(table.c.key).where(column.is_not(None), ~known).order_by(table.c.key)
                for key in connection.scalars(query):
                    yield FoundFault(StoreFinding.DANGLING, table.name, key, column.name)


def _originals(connection: Connection) -> Iterator[FoundFault]:
    """Recordings without their bytes, and with bytes that are not those that were sent."""
    for key, size_bytes in connection.execute(select(RECORDING.c.key, RECORDING.c.size_bytes)).all():
        data = connection.scalar(select(ORIGINAL.c.data).where(ORIGINAL.c.key == key))
        if data is None:
            yield FoundFault(StoreFinding.ORIGINAL_MISSING, "recording", key)
        elif hashlib.sha256(data).hexdigest() != key or len(data) != size_bytes:
            yield FoundFault(StoreFinding.ORIGINAL_CHANGED, "recording", key)


def _values(connection: Connection, kind: type[kept.Record]) -> Iterator[FoundFault]:
    """Values of another type than their field's, words that are none of a choice, documents that are no JSON."""
    hints = typing.get_type_hints(kind)
    for row in connection.execute(select(TABLES[kind]).order_by(TABLES[kind].c.key)).mappings():
        for name, hint in hints.items():
            if not _fits(row[name], hint):
                yield FoundFault(StoreFinding.VALUE, TABLES[kind].name, str(row["key"]), name)
            elif name in _DOCUMENTS and not _is_json(row[name]):
                yield FoundFault(StoreFinding.DOCUMENT, TABLES[kind].name, str(row["key"]), name)


def _fits(value: object, hint: Any) -> bool:
    if isinstance(hint, UnionType):
        return any(_fits(value, each) for each in typing.get_args(hint))
    if isinstance(hint, type) and issubclass(hint, StrEnum):
        return value in [each.value for each in hint]
    if hint is int:
        return isinstance(value, int) and not isinstance(value, bool)
    return isinstance(value, hint)


def _is_json(text: str) -> bool:
    try:
        json.loads(text)
    except ValueError:
        return False
    return True
