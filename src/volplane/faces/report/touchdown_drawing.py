"""Every touchdown of a trainee on one runway: landing direction up, one dot a landing, the middle beside it.

True to scale along the runway, where it matters; across, the runway is drawn wide so that dots can be told apart. The
shape of a dot says how strong the wind was.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from volplane.faces.documents import wording
from volplane.faces.documents.progress_words import band_words, past_words, touchdown_sentence
from volplane.faces.documents.wording import IMPERIAL, Units
from volplane.faces.report import axes, svg, tokens
from volplane.faces.report.axes import Scale
from volplane.faces.report.lettering import FIGURE, NAME, NOTE
from volplane.faces.report.svg import Drawing, Element, Point
from volplane.faces.report.tokens import Colour, Theme
from volplane.services.progress import Progress, WindBand
from volplane.services.robust import Middle

TOUCHDOWNS_PX = (560.0, 420.0)
NOBODY_TOUCHED = "No landing is recorded yet."
ZONE_M = 60.96
_TOP_PX, _FOOT_PX = 42.0, 36.0
_LEFT_PX, _WIDTH_PX = 72.0, 130.0
# half of a runway as wide as most; beyond it a dot stands on the edge
_HALF_WIDTH_M = 15.0
_DOT_PX = 5.0


@dataclass(frozen=True, slots=True)
class Touched:
    """A touchdown: beyond the touchdown point, left of the line, and the wind."""

    x_m: float
    y_m: float | None
    band: WindBand


def touchdown_drawing(
    progress: Progress,
    *,
    size_px: tuple[float, float] = TOUCHDOWNS_PX,
    units: Units = IMPERIAL,
    theme: Theme = Theme.PAGE,
) -> str:
    """The landings of a trainee as SVG."""
    name, words = "touchdowns", f"Touchdowns, {units.length.unit} beyond the touchdown point"
    touched = [
        Touched(each.touchdown_x_m, each.attempt.touchdown_y_m, each.band)
        for each in progress.exercises
        if each.touchdown_x_m is not None
    ]
    if not touched:
        return axes.nothing_to_show(name, words, NOBODY_TOUCHED, size_px).svg(theme)
    along = _along(touched, size_px, units)
    parts = (
        axes.title(words),
        *_runway(along, size_px, units),
        *(_dot(each, along, units) for each in touched),
        *_middle(progress.touchdowns, along, units),
        *_legend([each.band for each in touched], size_px, units),
    )
    return Drawing(name, *size_px, words, touchdown_sentence(progress, units), parts, {"figure": name}).svg(theme)


def _along(touched: Sequence[Touched], size_px: tuple[float, float], units: Units) -> Scale:
    """The length of runway that is shown: all landings and the zone, in the reader's units."""
    values = [units.length.value(each.x_m) for each in touched]
    low, high = axes.rounded_out(
        min(*values, units.length.value(-ZONE_M)), max(*values, units.length.value(2 * ZONE_M))
    )
    return Scale(low, high, size_px[1] - _FOOT_PX, _TOP_PX)


def _runway(along: Scale, size_px: tuple[float, float], units: Units) -> list[Element]:
    right, middle = _LEFT_PX + _WIDTH_PX, _LEFT_PX + _WIDTH_PX / 2.0
    top, foot = along.high_px, along.low_px
    edge = tokens.FURNITURE_PX
    point = along.px(0.0)
    zone = along.px(units.length.value(ZONE_M))
    parts = [
        svg.rectangle(_LEFT_PX, top, _WIDTH_PX, foot - top, fill=Colour.SHEET, class_="runway"),
        svg.line((_LEFT_PX, top), (_LEFT_PX, foot), Colour.INK, edge),
        svg.line((right, top), (right, foot), Colour.INK, edge),
        svg.line((middle, top), (middle, foot), Colour.SOFT, tokens.RULE_PX, dash="6 4"),
        svg.line((_LEFT_PX, zone), (right, zone), Colour.SOFT, tokens.RULE_PX, dash=axes.DOTTED),
        svg.line((_LEFT_PX - 4.0, point), (right + 4.0, point), Colour.INK, tokens.TOUCHDOWN_PX),
    ]
    for value in axes.ticks(along.low, along.high):
        down = along.px(value)
        parts.append(svg.line((_LEFT_PX - 10.0, down), (_LEFT_PX - 5.0, down), Colour.SOFT, tokens.RULE_PX))
        parts.append(svg.text((_LEFT_PX - 14.0, down + 4.3), wording.figure(value), NOTE, anchor="end"))
    note = "landing direction up, across not to scale"
    parts.append(svg.text((_LEFT_PX - 14.0, size_px[1] - 10.0), note, NOTE))
    return parts


def _dot(touched: Touched, along: Scale, units: Units) -> Element:
    off = 0.0 if touched.y_m is None else min(max(touched.y_m / _HALF_WIDTH_M, -1.0), 1.0)
    at = (_LEFT_PX + _WIDTH_PX / 2.0 - off * _WIDTH_PX / 2.0, along.px(units.length.value(touched.x_m)))
    return band_mark(at, touched.band)


def band_mark(at: Point, band: WindBand) -> Element:
    """A landing by the strength of its wind: open, with a core, filled; a square where the wind is not known."""
    data: dict[str, svg.Value] = {"band": band.value}
    rim: dict[str, svg.Value] = {"stroke": Colour.INK, "stroke_width": tokens.FURNITURE_PX}
    if band is WindBand.UNKNOWN:
        side = 1.7 * _DOT_PX
        square = svg.rectangle(at[0] - side / 2, at[1] - side / 2, side, side, fill=Colour.PAPER, **rim)
        return svg.group(square, class_="touched", data=data)
    fill = Colour.INK if band is WindBand.STRONG else Colour.PAPER
    parts = [svg.circle(at, _DOT_PX, fill=fill, stroke=Colour.INK, stroke_width=tokens.FURNITURE_PX)]
    if band is WindBand.MODERATE:
        parts.append(svg.circle(at, 2.0, fill=Colour.INK))
    return svg.group(*parts, class_="touched", data=data)


def _middle(middle: Middle | None, along: Scale, units: Units) -> list[Element]:
    """The median and the middle half beside the runway, with their figures."""
    across = _LEFT_PX + _WIDTH_PX + 24.0
    if middle is None:
        words = ("Too few landings", "for a middle: five at least.")
        return [svg.text((across, _TOP_PX + 12.0 + 17.0 * row), line, FIGURE) for row, line in enumerate(words)]
    low, median, high = (
        along.px(units.length.value(value)) for value in (middle.quartile_low, middle.median, middle.quartile_high)
    )
    parts = [
        svg.line((across, low), (across, high), Colour.INK, tokens.FURNITURE_PX, class_="middle-half"),
        svg.line((across - 6.0, median), (across + 6.0, median), Colour.INK, tokens.PATH_PX, class_="median"),
    ]
    parts += [
        svg.line((across - 4.0, end), (across + 4.0, end), Colour.INK, tokens.FURNITURE_PX) for end in (low, high)
    ]
    figures = units.length
    lines = (
        (f"Median {past_words(middle.median, units)}", NAME),
        (f"90 % between {figures.figure(middle.median_low)} and {figures.text(middle.median_high)}", NOTE),
        (f"half of them between {figures.figure(middle.quartile_low)} and {figures.text(middle.quartile_high)}", NOTE),
    )
    down = min(max(median, _TOP_PX + 12.0), along.low_px - 40.0)
    parts += [
        svg.text((across + 16.0, down + 4.3 + 17.0 * row), line, style) for row, (line, style) in enumerate(lines)
    ]
    return parts


def _legend(bands: Sequence[WindBand], size_px: tuple[float, float], units: Units) -> list[Element]:
    """The shapes that occur, named."""
    found = [band for band in WindBand if band in bands]
    left, foot = _LEFT_PX + _WIDTH_PX + 24.0, size_px[1] - _FOOT_PX - 4.0
    parts = []
    for row, band in enumerate(reversed(found)):
        down = foot - 19.0 * row
        parts += [band_mark((left, down - 4.0), band), svg.text((left + 16.0, down), band_words(band, units), NOTE)]
    return parts
