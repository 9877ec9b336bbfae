"""Colours, line widths and type sizes of every figure, page and card: the one source they are read from.

The colour scale is diverging: blue is height to spare, ink about right, orange height missing; further from zero stands
out more from the paper in both themes. Colour never stands alone, so print can switch it off.
"""

from __future__ import annotations

from enum import StrEnum
from types import MappingProxyType


class Colour(StrEnum):
    """A colour by its meaning."""

    PAPER = "paper"
    SHEET = "sheet"
    INK = "ink"
    SOFT = "soft"
    RULE = "rule"
    GRID = "grid"
    BLUE2 = "blue2"
    BLUE1 = "blue1"
    ORANGE1 = "orange1"
    ORANGE2 = "orange2"


class Theme(StrEnum):
    """How colours are written: PAGE leaves them to the page's custom properties, the others are literal."""

    PAGE = "page"
    LIGHT = "light"
    DUSK = "dusk"
    PRINT = "print"

    def colour(self, colour: Colour) -> str:
        """The colour as a value of an SVG or CSS property."""
        return f"var(--{colour})" if self is Theme.PAGE else COLOURS[self][colour]


def _colours(*values: str) -> MappingProxyType[Colour, str]:
    return MappingProxyType(dict(zip(Colour, values, strict=True)))


COLOURS: MappingProxyType[Theme, MappingProxyType[Colour, str]] = MappingProxyType(
    {
        Theme.LIGHT: _colours(
            "#FAFAF7", "#FFFFFF", "#1A1F26", "#565E68", "#C4C8CC", "#E4E6E6", "#123F78", "#2E73B8", "#B8560B", "#8A3A00"
        ),
        Theme.DUSK: _colours(
            "#14171B", "#191D22", "#E6E1D6", "#A8A499", "#434950", "#2A2F35", "#A9D0F5", "#6FA8DC", "#E8964A", "#FFC08A"
        ),
        Theme.PRINT: _colours(
            "#FFFFFF", "#FFFFFF", "#000000", "#333333", "#000000", "#999999", "#000000", "#000000", "#000000", "#000000"
        ),
    }
)

SANS = "Overpass"
SERIF = "Source Serif 4"
SANS_STACK = "Overpass, sans-serif"
SERIF_STACK = "'Source Serif 4', serif"

# line widths in px
CONSTRUCTION_PX = 0.75
RULE_PX = 1.0
PLAN_BEHIND_PX = 1.25
FURNITURE_PX = 1.5
GATE_RIM_PX = 2.0
PATH_PX = 2.5
WIND_PX = 2.5
TOUCHDOWN_PX = 4.0
HALO_PX = 5.0

# symbols in px
GATE_RADIUS_PX = 6.5
GATE_BEHIND_RADIUS_PX = 5.0
DOT_RADIUS_PX = 3.5
BEAD_RADIUS_PX = 2.6
NUMBER_SQUARE_PX = 16.0
WIND_PX_A_KNOT = 4.0
AIR_PX = 32.0
RUNWAY_LEAST_WIDTH_PX = 12.0
TOUCHDOWN_OVERHANG_PX = 4.0
BEAD_EVERY_S = 10.0

# type sizes in px, with the line height that belongs to them
BEAD_TIME_PX = 11.0
NOTE_PX, NOTE_LINE_PX = 12.0, 16.0
TABLE_PX, TABLE_LINE_PX = 13.0, 18.0
TEXT_PX, TEXT_LINE_PX = 14.0, 20.0
FINDING_PX, FINDING_LINE_PX = 18.0, 23.0
READING_PX = 23.0
TITLE_PX, TITLE_LINE_PX = 26.0, 32.0
HEADLINE_PX, HEADLINE_LINE_PX = 28.0, 35.0

REGULAR, MEDIUM, SEMIBOLD, BOLD = 400, 500, 600, 700

WEB_FONTS = MappingProxyType(
    {
        "overpass.woff2": (SANS, "100 900", "normal"),
        "source-serif-4-400-normal.woff2": (SERIF, "400", "normal"),
        "source-serif-4-400-italic.woff2": (SERIF, "400", "italic"),
        "source-serif-4-600-normal.woff2": (SERIF, "600", "normal"),
    }
)
"""File in the fonts folder: (family, weight, style), for the page's font faces."""


def css_tokens() -> str:
    """Colours, stacks and sizes as CSS custom properties, with the dusk theme and print.

    The system's setting decides unless the root element says `data-theme="light"` or `data-theme="dusk"`; print
    ignores both.
    """
    dusk = _block(Theme.DUSK)
    return (
        f":root {{\n{_block(Theme.LIGHT)}{_sizes()}}}\n"
        f"@media (prefers-color-scheme: dark) {{\n:root:not([data-theme=light]) {{\n{dusk}}}\n}}\n"
        f":root[data-theme=dusk] {{\n{dusk}}}\n"
        f"@media print {{\n:root, :root[data-theme], :root:not([data-theme=light]) {{\n{_block(Theme.PRINT)}}}\n}}\n"
    )


def css_font_faces(folder_url: str) -> str:
    """The font faces of a page whose fonts lie under a URL of its own."""
    return "".join(
        f'@font-face {{ font-family: "{family}"; font-weight: {weight}; font-style: {style}; font-display: block; '
        f'src: url("{folder_url.rstrip("/")}/{file}") format("woff2"); }}\n'
        for file, (family, weight, style) in WEB_FONTS.items()
    )


def _block(theme: Theme) -> str:
    scheme = "dark" if theme is Theme.DUSK else "light"
    colours = "".join(f"  --{colour}: {value};\n" for colour, value in COLOURS[theme].items())
    return f"  color-scheme: {scheme};\n{colours}"


def _sizes() -> str:
    sizes = {
        "note": (NOTE_PX, NOTE_LINE_PX),
        "table": (TABLE_PX, TABLE_LINE_PX),
        "text": (TEXT_PX, TEXT_LINE_PX),
        "finding": (FINDING_PX, FINDING_LINE_PX),
        "title": (TITLE_PX, TITLE_LINE_PX),
        "headline": (HEADLINE_PX, HEADLINE_LINE_PX),
    }
    lines = [f"  --sans: {SANS_STACK};\n  --serif: {SERIF_STACK};\n"]
    lines += [f"  --{name}-size: {size:g}px;\n  --{name}-line: {line:g}px;\n" for name, (size, line) in sizes.items()]
    return "".join(lines)
