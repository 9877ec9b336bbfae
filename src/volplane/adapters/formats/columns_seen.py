"""The columns of a table as they stand there, also where the titles say nothing that is known."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

from volplane.adapters.formats import csv, lines, words
from volplane.adapters.formats import layout as layouts
from volplane.adapters.formats.sniff import FORMATS, unwrapped
from volplane.services.column_maps import SAMPLES, SeenColumn
from volplane.services.recordings import Channel, Column, ColumnMap

# fewer columns tell no time and place; ours
_FEWEST, _MOST = 3, 200
_LONGEST_CELL = 40


def columns_seen(name: str, data: bytes) -> tuple[SeenColumn, ...]:
    """Every titled column with its first cells; nothing for a file that is refused or is no table."""
    content, _ = unwrapped(name, data)
    if content is None or any(each.recognises(content) for each in FORMATS if each is not csv):
        return ()
    first = itertools.islice(lines.lines(content), layouts.HEAD_LINES)
    head = [(number, text) for number, text, _ in first if text is not None and text.strip()]
    layout = layouts.layout_of(head) or _unknown_layout(head)
    if layout is None:
        return ()
    rows = layouts.sample(head, layout)
    guessed = csv.columns_of(content)
    known = {} if guessed is None else {column.title: column for column in guessed.columns}
    return tuple(
        _seen(title, layouts.column_cells(rows, index), known.get(title))
        for index, title in enumerate(layout.titles[:_MOST])
        if title and layout.titles.index(title) == index
    )


def _unknown_layout(head: Sequence[tuple[int, str]]) -> layouts.Layout | None:
    """The layout below the first line of words that is cut into as many cells as the line of numbers under it."""
    for (_, titles_line), (_, below) in itertools.pairwise(head):
        for delimiter in lines.DELIMITERS:
            titles, cells = lines.cells(titles_line, delimiter), lines.cells(below, delimiter)
            if len(titles) >= _FEWEST and len(cells) >= len(titles) and _are_words(titles) and not _are_words(cells):
                every = tuple(Column(title, Channel.LATITUDE, "") for title in dict.fromkeys(titles) if title)
                return layouts.layout_of(head, ColumnMap(every))
    return None


def _are_words(cells: Sequence[str]) -> bool:
    return not any(cell[:1].isdigit() for cell in cells)


def _seen(title: str, cells: Sequence[str], guessed: Column | None) -> SeenColumn:
    samples = tuple(cell[:_LONGEST_CELL] for cell in cells[:SAMPLES])
    if guessed is not None:
        return SeenColumn(title, samples, guessed.channel, guessed.unit)
    meaning = words.meaning_of(title)
    return SeenColumn(title, samples, None if meaning is None else meaning.channel, (meaning and meaning.unit) or "")
