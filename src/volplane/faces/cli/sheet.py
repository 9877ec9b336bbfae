"""A report as text for a terminal of any width: headings, paragraphs, lists and tables, without colour.

Tables leave out their least important columns where the terminal is too narrow, and say which. Letters that steer a
terminal are taken out of everything, because names come from files.
"""

from __future__ import annotations

import io
import os
import shutil
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from volplane.faces.cli.output import without_control
from volplane.faces.documents import wording

if TYPE_CHECKING:
    from rich.console import RenderableType
    from rich.table import Table

NARROWEST, WIDEST, WITHOUT_TERMINAL = 40, 110, 100
# lines longer than this are hard to read back from
LONGEST_LINE = 100
# a column of words may be wrapped to this
LEAST_WORDS = 11
# blanks between two columns
GAP = 3
# stands for a no-break space while lines are broken, because rich breaks at those too; no text can hold it
_NEVER_BROKEN = "\ue000"


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a table: its title (two lines at most), its cells, and what stands in the sum row.

    Columns of importance 0 always stay; where the terminal is narrow the highest importance goes first.
    """

    title: str
    cells: Sequence[str]
    is_number: bool = True
    importance: int = 0
    total: str = ""

    @property
    def least_width(self) -> int:
        """Letters the column needs at least."""
        from rich.cells import cell_len

        widest = max(cell_len(line) for text in (self.title, *self.cells, self.total) for line in text.split("\n"))
        return widest if self.is_number else min(widest, LEAST_WORDS)


class Sheet:
    """The report being written; `text` gives it back."""

    def __init__(self, width: int | None = None, *, is_bold: bool | None = None) -> None:
        from rich.console import Console

        bold = _shows_bold() if is_bold is None else is_bold
        measured = shutil.get_terminal_size((WITHOUT_TERMINAL, 24)).columns
        self.width = min(max(measured if width is None else width, NARROWEST), WIDEST)
        self._written = io.StringIO()
        self._console = Console(
            file=self._written,
            width=self.width,
            force_terminal=bold,
            color_system="standard" if bold else None,
            no_color=True,
            highlight=False,
            markup=False,
            emoji=False,
            legacy_windows=False,
        )

    def text(self) -> str:
        """Everything written, without blanks at the ends of lines."""
        written = self._written.getvalue().replace(_NEVER_BROKEN, wording.NO_BREAK_SPACE)
        lines = [line.rstrip(" ") for line in written.strip("\n").split("\n")]
        return "\n".join(lines) + "\n"

    def headline(self, text: str) -> None:
        """What the report is about, or how the exercise ended."""
        self._paragraph(text, "bold")

    def heading(self, text: str) -> None:
        """The head of a part, after a blank line."""
        self._console.print()
        self._paragraph(text, "bold")

    def blank(self) -> None:
        """A blank line."""
        self._console.print()

    def line(self, text: str) -> None:
        """A paragraph."""
        self._paragraph(text, "")

    def entry(self, head: str, text: str, width: int) -> None:
        """A word in a column of its own and the sentences that belong to it."""
        from rich.table import Table

        grid = Table.grid(padding=(0, 2, 0, 0))
        grid.add_column(width=width, no_wrap=True)
        grid.add_column(max_width=LONGEST_LINE)
        grid.add_row(_text(head, "bold"), _text(text))
        self._console.print(grid)

    def table(self, columns: Sequence[Column]) -> None:
        """A table; columns that do not fit are left out and named."""
        kept = _fitting(columns, self.width)
        self._console.print(_drawn(kept))
        left_out = [" ".join(each.title.split("\n")).lower() for each in columns if each not in kept]
        if left_out:
            self.line(f"Left out for want of width: {wording.listed(left_out)}.")

    def cautions(self) -> None:
        """The two lines that end every report."""
        self.blank()
        for text in wording.CAUTION_LINES:
            self.line(text)

    def _paragraph(self, text: str, style: str) -> None:
        self._print(_text(text, style))

    def _print(self, renderable: RenderableType) -> None:
        self._console.print(renderable, width=min(self.width, LONGEST_LINE))


def _text(text: str, style: str = "") -> RenderableType:
    from rich.text import Text

    return Text(without_control(text).replace(wording.NO_BREAK_SPACE, _NEVER_BROKEN), style)


def _fitting(columns: Sequence[Column], width: int) -> list[Column]:
    """The columns that fit, the least important dropped first."""
    kept = list(columns)
    while sum(each.least_width for each in kept) + GAP * (len(kept) - 1) > width:
        least = max(kept, key=lambda each: each.importance)
        if least.importance == 0:
            break
        kept.remove(least)
    return kept


def _drawn(columns: Sequence[Column]) -> Table:
    from rich import box
    from rich.table import Table

    has_total = any(each.total for each in columns)
    table = Table(
        box=box.SIMPLE,
        show_edge=False,
        pad_edge=False,
        show_footer=has_total,
        header_style="",
        footer_style="bold",
        padding=(0, GAP - 1, 0, 0),
        collapse_padding=True,
    )
    for each in columns:
        table.add_column(
            _text(each.title),
            _text(each.total),
            justify="right" if each.is_number else "left",
            vertical="top",
            no_wrap=each.is_number,
            min_width=each.least_width,
        )
    for row in zip(*(each.cells for each in columns), strict=True):
        table.add_row(*(_text(cell) for cell in row))
    return table


def _shows_bold() -> bool:
    """Whether standard output is a terminal that understands bold letters."""
    is_terminal = sys.stdout is not None and sys.stdout.isatty()
    return is_terminal and os.environ.get("TERM", "") != "dumb" and os.name != "nt"
