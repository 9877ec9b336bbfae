"""How wide letters are, so that labels are placed by computed boxes and never touch each other.

Widths are advance widths of the faces in `fonts/`, in thousandths of the type size, with tabular figures. Kerning is
left out: it makes real text a little narrower than the box, never wider by more than a pixel or so.
"""

from __future__ import annotations

import functools
import json
import pathlib
from dataclasses import dataclass, replace

from volplane.faces.report import tokens
from volplane.faces.report.tokens import Colour

FONTS_FOLDER = pathlib.Path(__file__).parent / "fonts"
# highest and lowest ink of figures, capitals and commas in parts of the type size
ASCENT_FRACTION = 0.74
DESCENT_FRACTION = 0.2
# a character the faces lack is drawn in a fallback face: taken as wide as a capital M
_UNKNOWN_THOUSANDTHS = 900


@dataclass(frozen=True, slots=True)
class Lettering:
    """How a line of text is set: face, size in px, colour, and whether it has a halo of paper."""

    size_px: float = tokens.NOTE_PX
    weight: int = tokens.REGULAR
    colour: Colour = Colour.INK
    is_serif: bool = False
    is_italic: bool = False
    has_halo: bool = True

    @property
    def face(self) -> str:
        """Name of the face in the table of widths."""
        if self.is_serif:
            return "serif-400-italic" if self.is_italic else f"serif-{600 if self.weight > 500 else 400}-normal"
        return f"overpass-{self.weight}"

    def width_px(self, text: str) -> float:
        """Width of a line of text in px."""
        return _thousandths(self.face, text) * self.size_px / 1000.0

    def in_colour(self, colour: Colour) -> Lettering:
        """The same lettering in another colour."""
        return replace(self, colour=colour)

    def sized(self, size_px: float) -> Lettering:
        """The same lettering in another size."""
        return replace(self, size_px=size_px)


NAME = Lettering(tokens.TABLE_PX, tokens.SEMIBOLD)
READING = Lettering(tokens.READING_PX, tokens.SEMIBOLD)
WINDOW = Lettering(tokens.TABLE_PX)
NOTE = Lettering(tokens.NOTE_PX, colour=Colour.SOFT)
FIGURE = Lettering(tokens.NOTE_PX)
BEAD_TIME = Lettering(tokens.BEAD_TIME_PX, colour=Colour.SOFT)
PEN = Lettering(tokens.TEXT_PX, is_serif=True, is_italic=True)
TITLE = Lettering(tokens.TABLE_PX, tokens.SEMIBOLD, has_halo=False)


def shortened(text: str, lettering: Lettering, width_px: float) -> str:
    """The text cut to a width, with three dots where something is left out."""
    if lettering.width_px(text) <= width_px:
        return text
    kept = text
    while kept and lettering.width_px(kept + "...") > width_px:
        kept = kept[:-1]
    return kept.rstrip() + "..."


@functools.lru_cache(maxsize=4096)
def _thousandths(face: str, text: str) -> int:
    table = _widths()[face]
    return sum(table.get(character, _UNKNOWN_THOUSANDTHS) for character in text)


@functools.cache
def _widths() -> dict[str, dict[str, int]]:
    table = json.loads((FONTS_FOLDER / "widths.json").read_text(encoding="utf-8"))
    characters = table.pop("characters")
    return {face: dict(zip(characters, widths, strict=True)) for face, widths in table.items()}
