"""Records to rows and back; the rows of one transaction."""

from __future__ import annotations

import hashlib
import math
import typing
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import fields, replace
from enum import StrEnum
from typing import Any

from sqlalchemy import Connection, Table, delete, insert, select, update
from sqlalchemy.exc import IntegrityError

from volplane.adapters.store.tables import ORDER, ORIGINAL, TABLES
from volplane.services import keeping, kept
from volplane.services.keeping import ChangedMeanwhile, NotKeepable, NotKept, R, Value


class Rows:
    """Kept records seen through one connection, inside its transaction."""

    def __init__(self, connection: Connection) -> None:
        self.connection = connection

    def get(self, kind: type[R], key: str, /) -> R:
        """The record of that key. :raises NotKept: there is none."""
        found = self.find(kind, key=key)
        if not found:
            raise NotKept(TABLES[kind].name, key)
        return found[0]

    def find(self, kind: type[R], /, **same: Value) -> tuple[R, ...]:
        """The records whose fields equal all of these."""
        table = TABLES[kind]
        query = select(table).order_by(*(table.c[name] for name in ORDER if name in table.c), table.c.key)
        for name, value in same.items():
            column = table.c[name]
            query = query.where(column.is_(None) if value is None else column == _plain(value))
        return tuple(record_of(kind, row) for row in self.connection.execute(query).mappings())

    def original(self, recording: str, /) -> bytes:
        """A recording byte for byte. :raises NotKept: there is none."""
        data = self.connection.scalar(select(ORIGINAL.c.data).where(ORIGINAL.c.key == recording))
        if data is None:
            raise NotKept(ORIGINAL.name, recording)
        return bytes(data)

    def keep(self, record: R) -> R:
        """Write one record; what never changes and is there already stays and is given back."""
        table, values = TABLES[type(record)], values_of(record)
        if "version" not in table.c:
            known = self.find(type(record), key=record.key)
            if not known:
                self._insert(table, values)
            return known[0] if known else record
        version = values["version"]
        values["version"] = version + 1
        if version == 0:
            self._insert(table, values)
        else:
            same = (table.c.key == record.key) & (table.c.version == version)
            if self.connection.execute(update(table).where(same).values(values)).rowcount != 1:
                raise ChangedMeanwhile(table.name, record.key)
        return replace(record, version=version + 1)  # type: ignore[call-arg]

    def keep_original(self, data: bytes) -> None:
        """Write the bytes of a recording whose record is there."""
        key = hashlib.sha256(data).hexdigest()
        if self.connection.scalar(select(ORIGINAL.c.key).where(ORIGINAL.c.key == key)) is None:
            self._insert(ORIGINAL, {"key": key, "data": data})

    def remove(self, records: Iterable[kept.Record]) -> None:
        """Take records away, children first; a recording takes its bytes with it."""
        by_table: dict[type[kept.Record], list[kept.Record]] = {}
        for each in records:
            by_table.setdefault(type(each), []).append(each)
        for kind in reversed(TABLES):
            for record in by_table.get(kind, ()):
                self._remove(TABLES[kind], record)

    def _remove(self, table: Table, record: kept.Record) -> None:
        if table.name == "recording":
            self.connection.execute(delete(ORIGINAL).where(ORIGINAL.c.key == record.key))
        same = table.c.key == record.key
        if "version" in table.c:
            same = same & (table.c.version == getattr(record, "version"))  # noqa: B009 - not every kind has one
        if self.connection.execute(delete(table).where(same)).rowcount != 1:
            raise ChangedMeanwhile(table.name, record.key)

    def _insert(self, table: Table, values: Mapping[str, Any]) -> None:
        try:
            self.connection.execute(insert(table).values(values))
        except IntegrityError as fault:
            raise ChangedMeanwhile(table.name, str(values["key"])) from fault


def record_of(kind: type[R], row: Mapping[Any, Any]) -> R:
    """A row as a record."""
    values = dict(row)
    for name, choice in _CHOICES[kind].items():
        values[name] = choice(values[name])
    return kind(**values)


def values_of(record: kept.Record) -> dict[str, Any]:
    """A record as a row.

    :raises NotKeepable: a text with a NUL or half a letter, or a number that is none.
    """
    values = {each.name: _plain(getattr(record, each.name)) for each in fields(record)}
    for name, value in values.items():
        if isinstance(value, str) and not _is_keepable(value):
            raise NotKeepable(TABLES[type(record)].name, name)
        if isinstance(value, float) and not math.isfinite(value):
            raise NotKeepable(TABLES[type(record)].name, name)
    return values


def in_order(records: Sequence[R]) -> list[R]:
    """Records, parents before children, else as they came."""
    places = {kind: place for place, kind in enumerate(TABLES)}
    return sorted(records, key=lambda record: places[type(record)])


def _plain(value: Any) -> Any:
    return value.value if isinstance(value, StrEnum) else value


def _is_keepable(text: str) -> bool:
    try:
        return b"\0" not in text.encode()
    except UnicodeEncodeError:
        return False


def _choices(kind: type[kept.Record]) -> dict[str, type[StrEnum]]:
    hints = typing.get_type_hints(kind)
    return {name: hint for name, hint in hints.items() if isinstance(hint, type) and issubclass(hint, StrEnum)}


_CHOICES = {kind: _choices(kind) for kind in TABLES}
# the protocol and its keeper agree; checked where the types are
_: type[keeping.Reader] = Rows
