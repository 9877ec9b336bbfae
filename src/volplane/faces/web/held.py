"""Results held in memory for the page that shows them; the oldest goes first, nothing is written anywhere."""

from __future__ import annotations

import hashlib
import threading
from collections import OrderedDict
from collections.abc import Mapping
from typing import Generic, TypeVar

T = TypeVar("T")


class HeldResults(Generic[T]):
    """At most `capacity` results, by a name made of the file and the changes; safe from several threads."""

    def __init__(self, capacity: int = 24) -> None:
        self._capacity = capacity
        self._by_name: OrderedDict[str, T] = OrderedDict()
        self._lock = threading.Lock()

    @staticmethod
    def name_of(data: bytes, changes: Mapping[str, str]) -> str:
        """The same file against the same exercise has the same name."""
        digest = hashlib.sha256(hashlib.sha256(data).digest())
        digest.update(repr(sorted(changes.items())).encode())
        return digest.hexdigest()[:20]

    def keep(self, name: str, held: T) -> None:
        """Hold one, dropping the one not looked at for longest when there are too many."""
        with self._lock:
            self._by_name[name] = held
            self._by_name.move_to_end(name)
            while len(self._by_name) > self._capacity:
                self._by_name.popitem(last=False)

    def clear(self) -> None:
        """Hold nothing any more: somebody whose results are here is forgotten."""
        with self._lock:
            self._by_name.clear()

    def get(self, name: str) -> T | None:
        """The result of that name, None when it is not (or no longer) held."""
        with self._lock:
            held = self._by_name.get(name)
            if held is not None:
                self._by_name.move_to_end(name)
            return held
