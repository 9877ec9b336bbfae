"""The pen: every symbol of the drawings, once. Sizes and widths are those of the tokens, angles are screen angles.

A screen angle is anticlockwise from the right edge of the page, y downwards: (cos, -sin).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from enum import Enum

import numpy as np
from numpy.typing import NDArray

from volplane.faces.report import svg, tokens
from volplane.faces.report.boxes import Box
from volplane.faces.report.lettering import Lettering
from volplane.faces.report.svg import Element, Point
from volplane.faces.report.tokens import Colour
from volplane.units import m_from_ft

Array = NDArray[np.float64]

# bounds between the five styles of a flown path, height in hand in metres; ours, see LOOKS
MUCH_M = m_from_ft(400.0)
SPARE_M = m_from_ft(150.0)
MISSING_M = 0.0
MUCH_MISSING_M = m_from_ft(-75.0)


class PathStyle(Enum):
    """How a stretch of a flown path is drawn by its height in hand: colour, width, dash, and a core of paper or not."""

    MUCH = (Colour.BLUE2, 5.0, None, True)
    SPARE = (Colour.BLUE1, 3.5, None, False)
    RIGHT = (Colour.INK, 2.25, None, False)
    MISSING = (Colour.ORANGE1, 3.5, "9 3.5", False)
    MUCH_MISSING = (Colour.ORANGE2, 4.5, "3 3", False)
    UNKNOWN = (Colour.INK, tokens.PLAN_BEHIND_PX, None, False)

    @property
    def colour(self) -> Colour:
        """Its colour."""
        return Colour(self.value[0])


def style_of(in_hand_m: float, room_above_m: float) -> PathStyle:
    """The style of a moment by height in hand and room above; NaN is not known."""
    if room_above_m < 0.0:
        return PathStyle.MUCH
    if math.isnan(in_hand_m):
        return PathStyle.UNKNOWN
    if in_hand_m > MUCH_M:
        return PathStyle.MUCH
    if in_hand_m > SPARE_M:
        return PathStyle.SPARE
    if in_hand_m >= MISSING_M:
        return PathStyle.RIGHT
    return PathStyle.MISSING if in_hand_m >= MUCH_MISSING_M else PathStyle.MUCH_MISSING


def styled_line(points: Sequence[Point], style: PathStyle) -> list[Element]:
    """A stretch of path in its style."""
    colour, width, dash, is_double = style.value
    name = style.name.lower().replace("_", "-")
    parts = [svg.polyline(points, colour, width, dash=dash, class_=f"flown {name}")]
    if is_double:
        parts.append(svg.polyline(points, Colour.PAPER, 1.75))
    return parts


def gate_circle(at: Point, *, is_behind: bool = False) -> Element:
    """A planned gate: an open circle; smaller and soft when a flown path is the subject."""
    radius = tokens.GATE_BEHIND_RADIUS_PX if is_behind else tokens.GATE_RADIUS_PX
    colour = Colour.SOFT if is_behind else Colour.INK
    width = tokens.PLAN_BEHIND_PX if is_behind else tokens.GATE_RIM_PX
    return svg.circle(at, radius, fill=Colour.PAPER, stroke=colour, stroke_width=width, class_="gate-planned")


def flown_dot(at: Point) -> Element:
    """A gate or touchdown as flown: a filled dot with an edge of paper."""
    return svg.circle(at, tokens.DOT_RADIUS_PX, fill=Colour.INK, stroke=Colour.PAPER, stroke_width=1.0, class_="dot")


def bead(at: Point, time_s: float) -> Element:
    """Ten seconds of flight."""
    return svg.circle(
        at,
        tokens.BEAD_RADIUS_PX,
        fill=Colour.PAPER,
        stroke=Colour.INK,
        stroke_width=tokens.FURNITURE_PX,
        class_="bead",
        data={"time": time_s},
    )


def arrowhead(tip: Point, angle_rad: float, colour: Colour = Colour.INK, length_px: float = 9.0) -> Element:
    """A small filled head whose tip points along a screen angle."""
    along = (math.cos(angle_rad), -math.sin(angle_rad))
    across = (along[1], -along[0])
    half = 0.36 * length_px
    back = (tip[0] - length_px * along[0], tip[1] - length_px * along[1])
    corners = [
        tip,
        (back[0] + half * across[0], back[1] + half * across[1]),
        (back[0] - half * across[0], back[1] - half * across[1]),
    ]
    return svg.polygon(corners, colour, class_="arrowhead")


def heads_along(points: Sequence[Point], fractions: Sequence[float], colour: Colour = Colour.INK) -> list[Element]:
    """Arrowheads in the middle of a leg, at fractions of its length."""
    track = np.asarray(points)
    steps = np.hypot(*np.diff(track, axis=0).T)
    along = np.concatenate(([0.0], np.cumsum(steps)))
    heads = []
    for fraction in fractions:
        tip_at, back_at = fraction * along[-1] + 4.5, fraction * along[-1] - 4.5
        tip = (float(np.interp(tip_at, along, track[:, 0])), float(np.interp(tip_at, along, track[:, 1])))
        back = (float(np.interp(back_at, along, track[:, 0])), float(np.interp(back_at, along, track[:, 1])))
        heads.append(arrowhead(tip, math.atan2(back[1] - tip[1], tip[0] - back[0]), colour))
    return heads


def dimension(start: Point, end: Point, *, has_heads: bool = True) -> list[Element]:
    """A dimension line with small filled heads at both ends."""
    parts = [svg.line(start, end, Colour.SOFT, tokens.CONSTRUCTION_PX, class_="dimension")]
    if has_heads:
        angle = math.atan2(start[1] - end[1], end[0] - start[0])
        parts += [arrowhead(end, angle, Colour.SOFT, 6.0), arrowhead(start, angle + math.pi, Colour.SOFT, 6.0)]
    return parts


def toothed_edge(start: Point, end: Point, colour: Colour = Colour.ORANGE1, tooth_px: float = 6.0) -> list[Element]:
    """An unsafe edge: a line with teeth on its right-hand side, looking from start to end: there one must not be."""
    length = math.hypot(end[0] - start[0], end[1] - start[1])
    along = ((end[0] - start[0]) / length, (end[1] - start[1]) / length)
    right = (-along[1], along[0])
    parts = [svg.line(start, end, colour, tokens.FURNITURE_PX, class_="edge")]
    count = max(round(length / tooth_px), 2)
    slant = -0.55 * tooth_px
    for tooth in range(count):
        at = (tooth + 0.75) * length / count
        root = (start[0] + at * along[0], start[1] + at * along[1])
        tip = (
            root[0] + slant * along[0] + tooth_px * right[0],
            root[1] + slant * along[1] + tooth_px * right[1],
        )
        parts.append(svg.line(root, tip, colour, tokens.RULE_PX))
    return parts


def bracket(across_px: float, top_px: float, bottom_px: float, half_px: float = 7.0) -> list[Element]:
    """A window: a vertical line with a tick at its highest and a toothed tick at its lowest."""
    left, right = across_px - half_px, across_px + half_px
    return [
        svg.line((across_px, top_px), (across_px, bottom_px), Colour.INK, tokens.FURNITURE_PX, class_="window"),
        svg.line((left, top_px), (right, top_px), Colour.INK, tokens.FURNITURE_PX),
        *toothed_edge((left - 1.0, bottom_px), (right + 1.0, bottom_px), tooth_px=4.0),
        svg.line((left, bottom_px), (right, bottom_px), Colour.INK, tokens.RULE_PX),
    ]


def wind_arrow(
    middle: Point,
    angle_rad: float,
    speed_kt: float,
    colour: Colour = Colour.INK,
    px_a_knot: float = tokens.WIND_PX_A_KNOT,
) -> list[Element]:
    """The wind as an arrow that points where the air goes, as long as it is strong, about its middle."""
    length = max(speed_kt * px_a_knot, 12.0)
    half = (0.5 * length * math.cos(angle_rad), -0.5 * length * math.sin(angle_rad))
    tip = (middle[0] + half[0], middle[1] + half[1])
    tail = (middle[0] - half[0], middle[1] - half[1])
    neck = (tip[0] - 6.0 * math.cos(angle_rad), tip[1] + 6.0 * math.sin(angle_rad))
    return [
        svg.line(tail, neck, colour, tokens.WIND_PX, class_="wind"),
        arrowhead(tip, angle_rad, colour, 11.0),
    ]


def finding_number(middle: Point, number: int) -> Element:
    """The number of a finding: an ink square with a paper figure, the same on list and board."""
    side = tokens.NUMBER_SQUARE_PX
    lettering = Lettering(tokens.NOTE_PX, tokens.SEMIBOLD, Colour.PAPER, has_halo=False)
    return svg.group(
        svg.rectangle(middle[0] - side / 2, middle[1] - side / 2, side, side, fill=Colour.INK, rx=2.0),
        svg.text((middle[0], middle[1] + 4.3), str(number), lettering, anchor="middle"),
        class_="finding-number",
        data={"finding": number},
    )


def number_box(middle: Point) -> Box:
    """The box of a finding's number."""
    half = tokens.NUMBER_SQUARE_PX / 2
    return Box(middle[0] - half, middle[1] - half, middle[0] + half, middle[1] + half)


def grab_area(at: Point) -> Element:
    """An invisible area of 44 px for finger and pointer."""
    return svg.circle(at, 22.0, pointer_events="all", class_="grab")


def thinned(points: Sequence[Point] | Array, tolerance_px: float = 0.08) -> list[Point]:
    """The same line with fewer points: none of those left out lies further off than the tolerance."""
    track = np.asarray(points, dtype=np.float64)
    keep = np.zeros(len(track), dtype=bool)
    keep[[0, -1]] = True
    stack = [(0, len(track) - 1)]
    while stack:
        first, last = stack.pop()
        if last - first < 2:
            continue
        chord = track[last] - track[first]
        offset = track[first + 1 : last] - track[first]
        length = float(np.hypot(*chord))
        if length > 0.0:
            away = np.abs(chord[0] * offset[:, 1] - chord[1] * offset[:, 0]) / length
        else:
            away = np.hypot(offset[:, 0], offset[:, 1])
        worst = int(np.argmax(away))
        if away[worst] > tolerance_px:
            middle = first + 1 + worst
            keep[middle] = True
            stack += [(first, middle), (middle, last)]
    return [(float(x), float(y)) for x, y in track[keep]]
