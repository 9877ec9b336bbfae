"""The store as the use cases need it, what it refuses, and how texts, recordings and debriefs get into it.

Every change is one transaction: all of it is kept, or none. Commands that work on files never open a store.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Sequence
from contextlib import AbstractContextManager
from enum import StrEnum
from typing import Protocol, TypeVar

from volplane.errors import Refusal
from volplane.services.kept import FileKind, FileText, InstructorFile, KeptRecording, Record

R = TypeVar("R", bound=Record)
Value = str | int | float | bool | None


class Reader(Protocol):
    """Kept records as they are at one moment.

    `get` raises `NotKept`. `find` gives the records whose fields equal all of `same`, in the order of their number,
    time or name. `original` is a recording byte for byte; it raises `NotKept` too.
    """

    def get(self, kind: type[R], key: str, /) -> R: ...
    def find(self, kind: type[R], /, **same: Value) -> tuple[R, ...]: ...
    def original(self, recording: str, /) -> bytes: ...


class Store(Reader, Protocol):
    """A database of kept records; safe to use from several threads and programs at once.

    `place` says where it is, without a password. `change` is one transaction: `remove` goes first, then `keep`, then
    `originals`, the bytes of recordings whose records are kept. Records to keep are new when their version is 0, else
    they replace the one of the same version; they are given back with their new versions. What never changes and is
    there already is left alone and given back as it was first kept. `snapshot` reads several times from one moment.
    `purge` leaves nothing of what was removed in the database's own files.

    `change` raises `ChangedMeanwhile` where somebody else was faster and `NotKeepable`; everything may raise
    `StoreUnusable`.
    """

    @property
    def place(self) -> str: ...
    def new_key(self) -> str: ...
    def change(
        self, keep: Sequence[R] = (), *, originals: Iterable[bytes] = (), remove: Sequence[Record] = ()
    ) -> tuple[R, ...]: ...
    def snapshot(self) -> AbstractContextManager[Reader]: ...
    def purge(self) -> None: ...
    def close(self) -> None: ...


class StoreFault(StrEnum):
    """Why a store cannot be used."""

    MISSING = "missing"
    BUSY = "busy"
    FULL = "full"
    READ_ONLY = "read-only"
    DAMAGED = "damaged"
    NOT_A_STORE = "not a store"
    TOO_NEW = "too new"
    FOLDER = "folder"
    UNREACHABLE = "unreachable"
    NO_DRIVER = "no driver"
    ADDRESS = "address"


class StoreUnusable(Refusal):
    """The store cannot be read or written; nothing was changed."""

    code = "store-unusable"

    def __init__(self, place: str, fault: StoreFault, said: str = "") -> None:
        super().__init__(f"{place}: {fault.value} ({said})" if said else f"{place}: {fault.value}")
        self.place = place
        self.fault = fault
        self.said = said


class NotKept(Refusal):
    """There is no such record."""

    code = "not-kept"

    def __init__(self, kind: str, key: str) -> None:
        super().__init__(f"no {kind} {key}")
        self.kind = kind
        self.key = key


class ChangedMeanwhile(Refusal):
    """Somebody else changed or removed the record, or keeps what was to be removed in use, since it was read."""

    code = "changed-meanwhile"

    def __init__(self, kind: str, key: str) -> None:
        super().__init__(f"{kind} {key} was changed meanwhile")
        self.kind = kind
        self.key = key


class NotKeepable(Refusal):
    """A text holds a letter that no database keeps, or a number that is none."""

    code = "not-keepable"

    def __init__(self, kind: str, field: str) -> None:
        super().__init__(f"{field} of {kind} cannot be kept")
        self.kind = kind
        self.field = field


class NothingLearned(Refusal):
    """No flight taught anything about this airplane's glide, so there is nothing to adopt."""

    code = "nothing-learned"

    def __init__(self, airplane: str, flights: int) -> None:
        super().__init__(f"{flights} flights taught nothing about {airplane}")
        self.airplane = airplane
        self.flights = flights


class AdoptionNeedsReason(Refusal):
    """A learned glide changes every plan to come: who adopts it says why."""

    code = "adoption-needs-reason"


def keep_text(store: Store, kind: FileKind, name: str, text: str, now_unix_s: float) -> FileText:
    """Keep a file's text as its newest state; the same text again makes no new one."""
    with store.snapshot() as kept:
        files = kept.find(InstructorFile, kind=kind, name=name)
        texts = kept.find(FileText, file=files[0].key) if files else ()
    if texts and texts[-1].text == text:
        return texts[-1]
    file = files[0] if files else InstructorFile(store.new_key(), kind, name)
    number = texts[-1].number + 1 if texts else 1
    made = FileText(store.new_key(), file.key, number, text, now_unix_s)
    store.change([made] if files else [file, made])
    return made


def present_text(store: Reader, kind: FileKind, name: str) -> FileText:
    """The newest text of a file.

    :raises NotKept: there is no file of that kind and name.
    """
    files = store.find(InstructorFile, kind=kind, name=name)
    texts = store.find(FileText, file=files[0].key) if files else ()
    if not texts:
        raise NotKept(kind.value, name)
    return texts[-1]


def keep_recording(
    store: Store,
    name: str,
    data: bytes,
    format_name: str,
    now_unix_s: float,
    *,
    start_unix_s: float | None = None,
    end_unix_s: float | None = None,
) -> KeptRecording:
    """Keep a recording byte for byte; one that is there already is given back as it was first kept."""
    key = hashlib.sha256(data).hexdigest()
    if known := store.find(KeptRecording, key=key):
        return known[0]
    record = KeptRecording(key, name, format_name, len(data), now_unix_s, start_unix_s, end_unix_s)
    return store.change([record], originals=[data])[0]
