"""An airfield's runways as a small drawing: north up, true lengths, one scale."""

from __future__ import annotations

import math
from collections.abc import Sequence

from volplane.domain.geometry.airfield import Airfield, Runway
from volplane.domain.geometry.runway_ends import stretch_between
from volplane.faces.documents.wording import Units
from volplane.faces.report import lettering, svg, tokens
from volplane.faces.report.svg import Drawing, Element, Point
from volplane.faces.report.tokens import Colour

SIDE_PX = 360.0
# air for the runway numbers outside the ends
_EDGE_PX = 44.0
_HALF_WIDTH_PX = 7.0
_NUMBER_PX = 20.0

Corners = tuple[Point, Point]


def airfield_drawing(airfield: Airfield, units: Units) -> Drawing:
    """Every runway end at its place, with its number before its threshold and a bar of a round length."""
    ends = [_ends_m(runway, airfield.runways[0]) for runway in airfield.runways]
    spots = [spot for pair in ends for spot in pair]
    wide, high = (max(axis) - min(axis) for axis in zip(*spots, strict=True))
    px_per_m = (SIDE_PX - 2.0 * _EDGE_PX) / max(wide, high, 1.0)
    left, top = min(x for x, _ in spots), max(y for _, y in spots)
    height_px = high * px_per_m + 2.0 * _EDGE_PX + 28.0

    def px(spot: Point) -> Point:
        inset = (SIDE_PX - wide * px_per_m) / 2.0
        return inset + (spot[0] - left) * px_per_m, _EDGE_PX + (top - spot[1]) * px_per_m

    placed = [(px(threshold), px(far)) for threshold, far in ends]
    named = list(zip(airfield.runways, placed, strict=True))
    parts = [*(_strip(pair) for _, pair in named), *(mark for each in named for mark in _threshold(*each))]
    names = ", ".join(runway.name for runway in airfield.runways)
    return Drawing(
        name="airfield",
        width_px=SIDE_PX,
        height_px=height_px,
        title=f"The runways of {airfield.name}, north up",
        description=f"Runways {names}, drawn to scale from their thresholds, bearings and landing distances.",
        parts=(*parts, *_foot(px_per_m, height_px, units)),
        data={},
    )


def _ends_m(runway: Runway, first: Runway) -> Corners:
    """Threshold and far end, metres east and north of the first runway's threshold."""
    away = stretch_between(
        first.threshold_latitude_deg,
        first.threshold_longitude_deg,
        runway.threshold_latitude_deg,
        runway.threshold_longitude_deg,
    )
    threshold = _towards((0.0, 0.0), away.bearing_true_rad, away.length_m)
    return threshold, _towards(threshold, runway.bearing_true_rad, runway.length_m)


def _towards(start: Point, bearing_rad: float, distance_m: float) -> Point:
    return start[0] + distance_m * math.sin(bearing_rad), start[1] + distance_m * math.cos(bearing_rad)


def _strip(pair: Corners) -> Element:
    start, end = pair
    along, across = _directions(pair)
    outline = [
        _moved(spot, across, side * _HALF_WIDTH_PX)
        for spot, side in ((start, -1.0), (end, -1.0), (end, 1.0), (start, 1.0))
    ]
    middle = [_moved(start, along, 12.0), _moved(end, along, -12.0)]
    return svg.group(
        svg.element(
            "path",
            d=f"{svg.path_data(outline)}Z",
            fill=Colour.SHEET,
            stroke=Colour.INK,
            stroke_width=tokens.FURNITURE_PX,
            class_="runway",
        ),
        svg.line(middle[0], middle[1], Colour.SOFT, tokens.RULE_PX, dash="6 4"),
    )


def _threshold(runway: Runway, pair: Corners) -> Sequence[Element]:
    along, across = _directions(pair)
    bars = []
    for place in (-4.5, -1.5, 1.5, 4.5):
        foot = _moved(_moved(pair[0], across, place), along, 2.0)
        bars.append(svg.line(foot, _moved(foot, along, 7.0), Colour.INK, tokens.RULE_PX))
    x, y = _moved(pair[0], along, -_NUMBER_PX)
    return (*bars, svg.text((x, y + 5.0), runway.name, lettering.NAME, anchor="middle"))


def _foot(px_per_m: float, height_px: float, units: Units) -> Sequence[Element]:
    """A bar of a round length, and which way is up."""
    unit_m = units.length.unit_si
    raw = 90.0 / (px_per_m * unit_m)
    power = 10.0 ** math.floor(math.log10(raw))
    round_length = max(step * power for step in (1.0, 2.0, 5.0) if step * power <= raw)
    length_px = round_length * unit_m * px_per_m
    y = height_px - 12.0
    bar = svg.polyline([(1.0, y - 4.0), (1.0, y), (1.0 + length_px, y), (1.0 + length_px, y - 4.0)], Colour.SOFT, 1.0)
    words = f"{units.length.text(round_length * unit_m)}, north up"
    return bar, svg.text((length_px + 10.0, y + 2.0), words, lettering.NOTE)


def _directions(pair: Corners) -> tuple[Point, Point]:
    """Along and across a strip on the page, one pixel long."""
    (x0, y0), (x1, y1) = pair
    length = math.hypot(x1 - x0, y1 - y0) or 1.0
    along = (x1 - x0) / length, (y1 - y0) / length
    return along, (-along[1], along[0])


def _moved(spot: Point, direction: Point, distance_px: float) -> Point:
    return spot[0] + direction[0] * distance_px, spot[1] + direction[1] * distance_px
