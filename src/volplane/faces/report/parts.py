"""The parts of a printed sheet: a table or lines under a title, as plain data for the typesetter."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Any, Literal


@dataclass(frozen=True, slots=True)
class Part:
    """A title, then a table or entries (a word and its sentence), then notes.

    `words` are the columns that hold words, `wide` the one that takes the room left; `total` marks the last row as a
    sum; `whole` asks for the whole width of the page.
    """

    kind: Literal["table", "entries"]
    title: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    words: tuple[int, ...]
    wide: int
    notes: tuple[str, ...]
    total: bool
    whole: bool

    def data(self) -> dict[str, Any]:
        """For the typesetter."""
        return asdict(self)


def table(
    title: str,
    heads: Sequence[str],
    rows: Sequence[Sequence[str]],
    *,
    words: Sequence[int] = (0,),
    wide: int = -1,
    notes: Sequence[str] = (),
    has_total: bool = False,
    is_whole: bool = False,
) -> Part:
    """A table under a title."""
    cells = tuple(tuple(row) for row in rows)
    return Part("table", title, tuple(heads), cells, tuple(words), wide, tuple(notes), has_total, is_whole)


def entries(title: str, rows: Sequence[tuple[str, str]], *, notes: Sequence[str] = (), is_whole: bool = False) -> Part:
    """Words with their sentences, or notes alone, under a title."""
    return Part("entries", title, (), tuple(rows), (), -1, tuple(notes), total=False, whole=is_whole)
