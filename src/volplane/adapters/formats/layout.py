"""The layout of a table: which line holds the titles, what separates the cells, where units stand, what stands before.

The titles are found as the line, and the separator, under which most columns mean something; so a preamble of any
length up to some hundred lines, and any separator, need no rule of their own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from volplane.adapters.formats import lines, numbers, words
from volplane.services.recordings import Channel, Column, ColumnMap

# titles stand within this many lines; the same lines are looked at to tell what cells hold
HEAD_LINES = 400
_MOST_CELLS = 200
# cells whose words are looked at before the search for titles ends; bounds the time for hostile text
_MOST_LOOKED_AT = 6000
# a line of titles names at least this much
_NEEDED = frozenset({Channel.LATITUDE, Channel.LONGITUDE})


@dataclass(frozen=True, slots=True)
class Layout:
    """Where things stand in a table; `meanings` by the index of the column.

    `data_line` is the number of the first line below titles and units, `preamble` the lines above the titles.
    """

    delimiter: str
    titles: tuple[str, ...]
    units: tuple[str, ...]
    header_line: int
    data_line: int
    meanings: tuple[words.Meaning | None, ...]
    preamble: tuple[str, ...]
    decimal_comma: bool
    utc_offset_s: float | None = None

    def indices(self, channel: Channel) -> list[int]:
        """The columns that mean a channel, the likeliest first."""
        found = [index for index, each in enumerate(self.meanings) if each is not None and each.channel is channel]
        return sorted(found, key=lambda index: -self._likelihood_ratio(index))

    def _likelihood_ratio(self, index: int) -> float:
        meaning = self.meanings[index]
        return meaning.likelihood_ratio if meaning is not None else 0.0

    def column(self, index: int) -> Column:
        """The column as it is shown to people."""
        meaning = self.meanings[index]
        assert meaning is not None
        return Column(self.titles[index], meaning.channel, meaning.unit, meaning.because)

    def is_titles(self, row: Sequence[str]) -> bool:
        """Whether a row repeats the titles or the units."""
        return bool(row) and tuple(row) in (self.titles, self.units)


def layout_of(head: Sequence[tuple[int, str]], column_map: ColumnMap | None = None) -> Layout | None:
    """The layout of a table from its first lines (number, text); None when no line of titles is among them."""
    best: tuple[float, int, str] | None = None
    looked_at = 0
    for position, (_, text) in enumerate(head):
        for delimiter in lines.DELIMITERS:
            if delimiter not in text or looked_at > _MOST_LOOKED_AT:
                continue
            titles = lines.cells(text, delimiter)[:_MOST_CELLS]
            if _is_numbers(titles):
                continue
            looked_at += len(titles)
            score = _score(titles, column_map)
            if score > (best[0] if best is not None else 0.0):
                best = (score, position, delimiter)
    return _described(head, best[1], best[2], column_map) if best is not None else None


def sample(head: Sequence[tuple[int, str]], layout: Layout) -> list[list[str]]:
    """The rows below the titles among the first lines."""
    rows = [lines.cells(text, layout.delimiter) for number, text in head if number >= layout.data_line]
    return [row for row in rows if len(row) > 1 and not layout.is_titles(row)]


def column_cells(rows: Sequence[Sequence[str]], index: int) -> list[str]:
    """The cells of one column that are not empty."""
    return [row[index] for row in rows if index < len(row) and row[index]]


def _is_numbers(row: Sequence[str]) -> bool:
    """Whether a line holds numbers, told by the first sign of its cells: a look at their words would be slow."""
    return sum(cell[:1].isdigit() or cell[:1] in "+-." for cell in row) > 0.5 * len(row)


def _score(titles: Sequence[str], column_map: ColumnMap | None) -> float:
    """How many columns of a line mean something; 0 without a place on earth."""
    if column_map is not None:
        present = {plain(title) for title in titles}
        return float(sum(plain(column.title) in present for column in column_map.columns))
    found = [meaning for title in titles if (meaning := words.meaning_of(title)) is not None]
    if not {meaning.channel for meaning in found} >= _NEEDED:
        return 0.0
    return sum(meaning.likelihood_ratio for meaning in found)


def _described(head: Sequence[tuple[int, str]], position: int, delimiter: str, column_map: ColumnMap | None) -> Layout:
    titles = tuple(lines.cells(head[position][1], delimiter)[:_MOST_CELLS])
    places = [index for index, title in enumerate(titles) if _means(title, column_map) in _NEEDED]
    below = _row(head, position + 1, delimiter)
    above = _row(head, position - 1, delimiter)
    data_position = position + 1
    units: tuple[str, ...] = ()
    if _is_units(below, places):
        units = tuple(below[: len(titles)])
        data_position = position + 2
    elif len(above) == len(titles) and _is_units(above, places):
        units = tuple(above)
    padded = [*units, *[""] * (len(titles) - len(units))]
    rows = [lines.cells(text, delimiter) for _, text in head[data_position:]]
    meanings = [_meaning(title, unit, column_map) for title, unit in zip(titles, padded, strict=True)]
    return Layout(
        delimiter,
        titles,
        units,
        head[position][0],
        head[data_position][0] if data_position < len(head) else head[-1][0] + 1,
        tuple(_with_unit_of_cells(titles[i], each, column_cells(rows, i)) for i, each in enumerate(meanings)),
        tuple(text for _, text in head[:position]),
        numbers.has_decimal_comma([cell for index in places for cell in column_cells(rows, index)]),
        column_map.utc_offset_s if column_map is not None else None,
    )


def plain(title: str) -> str:
    """A title without what is no difference to people: spaces and capitals."""
    return " ".join(title.split()).casefold()


def _means(title: str, column_map: ColumnMap | None) -> Channel | None:
    meaning = _meaning(title, "", column_map)
    return meaning.channel if meaning is not None else None


def _meaning(title: str, unit_cell: str, column_map: ColumnMap | None) -> words.Meaning | None:
    if column_map is None:
        return words.meaning_of(title, unit_cell)
    for column in column_map.columns:
        if plain(column.title) == plain(title):
            # what the words say beside the channel still holds, that a time is UTC for one
            meant = words.meaning_of(title, unit_cell)
            ideas = meant.ideas if meant is not None else frozenset()
            return words.Meaning(column.channel, column.unit, 1.0, "the column map says so", ideas)
    return None


def _with_unit_of_cells(title: str, meaning: words.Meaning | None, cells: Sequence[str]) -> words.Meaning | None:
    """A meaning that names no unit, with the unit that stands behind its numbers ("2,600 ft")."""
    if meaning is None or meaning.unit or meaning.channel in words.TIMES or not cells:
        return meaning
    behind = {numbers.unit_in_cell(cell) for cell in cells[:20]}
    return words.meaning_of(title, behind.pop()) or meaning if len(behind) == 1 else meaning


def _row(head: Sequence[tuple[int, str]], position: int, delimiter: str) -> list[str]:
    return lines.cells(head[position][1], delimiter)[:_MOST_CELLS] if 0 <= position < len(head) else []


def _is_units(row: Sequence[str], places: Sequence[int]) -> bool:
    """Whether a row beside the titles holds units: no position in it, and most of its cells look like units."""
    filled = [cell for cell in row if cell]
    if len(row) < 2 or not filled or any(index < len(row) and _is_place(row[index]) for index in places):
        return False
    has_number = sum(_is_number(cell) for cell in filled) > 0
    return not has_number and sum(map(words.is_unit, filled)) >= 0.6 * len(filled)


def _is_place(cell: str) -> bool:
    value = numbers.coordinate(cell)
    return value == value


def _is_number(cell: str) -> bool:
    """Whether a cell is a plain number."""
    value = numbers.number(cell)
    return value == value
