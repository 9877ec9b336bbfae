"""What is said about the store as a whole: is it sound, what was written out of it, what came back."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum


class StoreFinding(StrEnum):
    """What may be wrong inside a store."""

    INTEGRITY = "integrity"
    ORIGINAL_MISSING = "original missing"
    ORIGINAL_CHANGED = "original changed"
    DANGLING = "dangling"
    VALUE = "value"
    DOCUMENT = "document"
    RECOMPUTED_OTHERWISE = "recomputed otherwise"
    NOT_RECOMPUTABLE = "not recomputable"


@dataclass(frozen=True, slots=True)
class FoundFault:
    """One fault: what it is, in which kind of record, which one, and what was said of it."""

    finding: StoreFinding
    kind: str
    key: str
    said: str = ""


@dataclass(frozen=True, slots=True)
class CheckedStore:
    """A store looked through: its schema, how many records of each kind, every fault.

    `debriefs_recomputed` counts those that were made again; `made_by_other_version` of them had been made by another
    version of the program and may differ for that reason.
    """

    place: str
    schema: str
    counts: Mapping[str, int]
    faults: tuple[FoundFault, ...]
    debriefs_recomputed: int = 0
    made_by_other_version: int = 0

    @property
    def is_sound(self) -> bool:
        """Whether nothing was found."""
        return not self.faults


@dataclass(frozen=True, slots=True)
class WrittenOut:
    """A backup or export: where the store is, what was written, how many records of each kind are in it."""

    place: str
    path: str
    counts: Mapping[str, int]


@dataclass(frozen=True, slots=True)
class Restored:
    """What came back, and where that which was there before is kept; None when nothing was there."""

    place: str
    path: str
    counts: Mapping[str, int]
    aside: str | None
