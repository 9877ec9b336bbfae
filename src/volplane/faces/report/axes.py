"""The bones of every chart: scales, ticks, a title that names quantity and unit, a horizontal grid, no frame."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from volplane.faces.documents import wording
from volplane.faces.report import lettering, svg, tokens
from volplane.faces.report.boxes import Box
from volplane.faces.report.lettering import NOTE, TITLE
from volplane.faces.report.svg import Drawing, Element, Point, Value
from volplane.faces.report.tokens import Colour

DOTTED = "2 3"
_TITLE_BASELINE_PX = 11.0


@dataclass(frozen=True, slots=True)
class Scale:
    """A linear scale: from values to px."""

    low: float
    high: float
    low_px: float
    high_px: float

    def px(self, value: float) -> float:
        """Where a value lies."""
        return self.low_px + (value - self.low) / (self.high - self.low) * (self.high_px - self.low_px)

    @property
    def px_a_unit(self) -> float:
        """Length of a unit, negative when the scale runs the other way."""
        return (self.high_px - self.low_px) / (self.high - self.low)


@dataclass(frozen=True, slots=True)
class Plot:
    """The area in which a chart draws, with its two scales."""

    area: Box
    across: Scale
    up: Scale

    def at(self, x: float, y: float) -> Point:
        """A place in px."""
        return self.across.px(x), self.up.px(y)

    def data(self) -> dict[str, Value]:
        """Edges of the area, for a cursor's drop line."""
        return {
            "plot-left": self.area.left,
            "plot-top": self.area.top,
            "plot-right": self.area.right,
            "plot-bottom": self.area.bottom,
        }


def plot(area: Box, across: tuple[float, float], up: tuple[float, float]) -> Plot:
    """A plot over ranges of values; a range without extent is widened."""
    return Plot(
        area,
        Scale(*_widened(*across), area.left, area.right),
        Scale(*_widened(*up), area.bottom, area.top),
    )


def _widened(low: float, high: float) -> tuple[float, float]:
    return (low, high) if high - low > 1e-9 else (low - 1.0, high + 1.0)


def step_for(extent: float, most: int) -> float:
    """The least round step (1, 2, 5 times a power of ten) that gives no more ticks than wanted."""
    if not extent > 0.0:
        return 1.0
    power = 10.0 ** math.floor(math.log10(extent / max(most, 1)))
    return next(power * factor for factor in (1.0, 2.0, 5.0, 10.0, 20.0) if extent / (power * factor) <= most)


def ticks(low: float, high: float, most: int = 6) -> list[float]:
    """Round values inside a range."""
    step = step_for(high - low, most)
    first = math.ceil(low / step - 1e-9)
    return [step * count for count in range(first, math.floor(high / step + 1e-9) + 1)]


def rounded_out(low: float, high: float, most: int = 6) -> tuple[float, float]:
    """A range widened to its ticks."""
    step = step_for(high - low, most)
    return math.floor(low / step + 1e-9) * step, math.ceil(high / step - 1e-9) * step


def title(words: str) -> Element:
    """The quantity and its unit, top left."""
    return svg.text((0.0, _TITLE_BASELINE_PX), words, TITLE)


def grid(frame: Plot, values: Iterable[float], words: Callable[[float], str] = wording.figure) -> list[Element]:
    """Horizontal grid lines with their values left of them; zero is ink."""
    parts = []
    for value in values:
        down = frame.up.px(value)
        is_zero = abs(value) < 1e-9
        colour, width = (Colour.INK, tokens.FURNITURE_PX) if is_zero else (Colour.GRID, tokens.RULE_PX)
        parts.append(svg.line((frame.area.left, down), (frame.area.right, down), colour, width))
        parts.append(svg.text((frame.area.left - 8.0, down + 4.3), words(value), NOTE, anchor="end"))
    return parts


def axis_times(frame: Plot, values: Sequence[float]) -> list[Element]:
    """Seconds under a chart, each with a small tick."""
    parts = []
    for value in values:
        across = frame.across.px(value)
        bottom = frame.area.bottom
        parts.append(svg.line((across, bottom + 3.0), (across, bottom + 7.0), Colour.SOFT, tokens.RULE_PX))
        words = wording.seconds(value)
        half = NOTE.width_px(words) / 2.0
        place = min(max(across, half), frame.area.right + 12.0 - half)
        parts.append(svg.text((place, bottom + 20.0), words, NOTE, anchor="middle"))
    return parts


def drop_line(across: float, top: float, bottom: float) -> Element:
    """A dotted vertical."""
    return svg.line((across, top), (across, bottom), Colour.SOFT, tokens.CONSTRUCTION_PX, dash=DOTTED)


def nothing_to_show(name: str, words: str, sentence: str, size_px: tuple[float, float]) -> Drawing:
    """A chart whose data this recording cannot give: its title and one sentence why."""
    lines = wrapped(sentence, NOTE, size_px[0])
    body = [svg.text((0.0, 36.0 + 16.0 * row), line, NOTE) for row, line in enumerate(lines)]
    return Drawing(name, *size_px, words, sentence, (title(words), *body), {"figure": name})


def wrapped(words: str, style: lettering.Lettering, width_px: float) -> list[str]:
    """Words in lines no wider than a width."""
    lines: list[str] = []
    for word in words.split(" "):
        if lines and style.width_px(f"{lines[-1]} {word}") <= width_px:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return lines
