"""Marks of the charts of measurements: figures from a book, points left out, whiskers, words beside a symbol."""

from __future__ import annotations

from collections.abc import Sequence

from volplane.faces.documents import wording
from volplane.faces.report import svg, tokens
from volplane.faces.report.axes import Plot
from volplane.faces.report.boxes import Candidate, Placer, single
from volplane.faces.report.lettering import NOTE, Lettering
from volplane.faces.report.svg import Element, Point
from volplane.faces.report.tokens import Colour

CROSS_PX = 8.0
_TICK_PX = 4.0
# whiskers lie along the foot of a chart: what is held inside stays above them
_FOOT_PX = 12.0
# a point left out this far beyond the others, in parts of their extent, does not stretch the axes (ours)
_NEAR_FRACTION = 0.4


def cross(at: Point) -> Element:
    """A figure from a book, not from a flight: a small upright cross."""
    return svg.group(
        svg.line((at[0] - CROSS_PX, at[1]), (at[0] + CROSS_PX, at[1]), Colour.INK, tokens.FURNITURE_PX),
        svg.line((at[0], at[1] - CROSS_PX), (at[0], at[1] + CROSS_PX), Colour.INK, tokens.FURNITURE_PX),
        class_="handbook",
    )


def left_out(at: Point) -> Element:
    """A measurement that is shown and not used: an open dot."""
    return svg.circle(
        at,
        tokens.DOT_RADIUS_PX,
        fill=Colour.PAPER,
        stroke=Colour.INK,
        stroke_width=tokens.FURNITURE_PX,
        class_="left-out",
    )


def held_inside(at: Point, frame: Plot) -> Point:
    """A place in the chart, or the nearest on its edge: what lies beyond must still be seen."""
    area = frame.area
    return min(max(at[0], area.left), area.right), min(max(at[1], area.top), area.bottom - _FOOT_PX)


def with_neighbours(counts: Sequence[float], others: Sequence[float]) -> list[float]:
    """Values that count with those of the others that lie near: what was left out may lie anywhere."""
    if not counts:
        return list(others)
    low, high = min(counts), max(counts)
    near = _NEAR_FRACTION * (high - low)
    return [*counts, *(value for value in others if low - near <= value <= high + near)]


def axis_quantity(
    frame: Plot, values: Sequence[float], named: str, size_px: tuple[float, float], decimals: int = 0
) -> list[Element]:
    """Figures under a chart, each with a small tick, and what they are at the end of the row below."""
    parts = []
    bottom = frame.area.bottom
    for value in values:
        across = frame.across.px(value)
        parts.append(svg.line((across, bottom + 3.0), (across, bottom + 7.0), Colour.SOFT, tokens.RULE_PX))
        words = wording.figure(value, decimals)
        parts.append(svg.text((across, bottom + 20.0), words, NOTE, anchor="middle"))
    parts.append(svg.text((frame.area.right, min(bottom + 38.0, size_px[1] - 3.0)), named, NOTE, anchor="end"))
    return parts


def whisker_across(frame: Plot, low_px: float, high_px: float, down_px: float) -> list[Element]:
    """A lying band; where the chart's edge cuts it, it has no end."""
    low, high = max(low_px, frame.area.left), min(high_px, frame.area.right)
    if not low < high:
        return []
    ends = [
        svg.line((end, down_px - _TICK_PX), (end, down_px + _TICK_PX), Colour.INK, tokens.FURNITURE_PX)
        for end, wished in ((low, low_px), (high, high_px))
        if end == wished
    ]
    return [svg.line((low, down_px), (high, down_px), Colour.INK, tokens.FURNITURE_PX, class_="whisker"), *ends]


def whisker_up(across_px: float, top_px: float, bottom_px: float) -> list[Element]:
    """A standing band with both its ends."""
    ends = [
        svg.line((across_px - _TICK_PX, down), (across_px + _TICK_PX, down), Colour.INK, tokens.FURNITURE_PX)
        for down in (top_px, bottom_px)
    ]
    stem = svg.line((across_px, top_px), (across_px, bottom_px), Colour.INK, tokens.FURNITURE_PX, class_="whisker")
    return [stem, *ends]


def label_near(
    words: str, style: Lettering, at: Point, placer: Placer, downs: Sequence[float], *, sure: bool
) -> list[Element]:
    """Words beside a symbol, above or below it; what must be said is pushed until it is free, the rest left out."""
    if not words:
        return []
    beside = [
        Candidate(single(words, style, anchor), (at[0] + across, at[1] + 4.0))
        for anchor, across in (("start", 9.0), ("end", -9.0))
    ]
    around = [
        Candidate(single(words, style, anchor), (at[0] + across, at[1] + down))
        for down in downs
        for anchor, across in (("middle", 0.0), ("start", -4.0), ("end", 4.0))
    ]
    options = [*around, *beside] if sure else [*beside, *around]
    found = placer.place_surely(options) if sure else placer.place(options) or placer.place(options, over_lines=True)
    return [] if found is None else found.label.drawn(found.at)
