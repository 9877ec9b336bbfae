"""The whiteboard's frame and furniture: landing direction up, origin at the touchdown point, one scale for both axes.

What stands on every board whatever its subject: runway, extended centreline, wind, scale bar, and the fit of the scale.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from volplane.domain.atmosphere.wind import WindProfile
from volplane.domain.exercise.exercise import Exercise
from volplane.faces.documents import wording
from volplane.faces.documents.wording import Units
from volplane.faces.report import ink, lettering, svg, tokens
from volplane.faces.report.boxes import Box, Label, Line
from volplane.faces.report.svg import Element, Point, Value
from volplane.faces.report.tokens import Colour
from volplane.units import NAUTICAL_MILE_M, kt_from_mps

Array = NDArray[np.float64]

# runways are drawn in their true length; no file says how wide they are, so they get what a small field has
RUNWAY_WIDTH_M = 25.0
# steps of the scale, px a nautical mile: it moves in steps, so that it holds still for small changes
SCALES_PX_A_MILE = tuple(round(640.0 * 0.96**step, 1) for step in range(150))
_AT_THE_FIELD_M = 15.0


@dataclass(frozen=True, slots=True)
class Frame:
    """From the runway frame in metres to px: x goes up, y (left) goes left."""

    px_a_metre: float
    origin: Point

    def px(self, x_m: float, y_m: float) -> Point:
        """A place in px."""
        return self.origin[0] - y_m * self.px_a_metre, self.origin[1] - x_m * self.px_a_metre

    def points(self, x_m: Array, y_m: Array) -> Array:
        """Places in px, (n, 2)."""
        return np.column_stack((self.origin[0] - y_m * self.px_a_metre, self.origin[1] - x_m * self.px_a_metre))

    def line(self, x_m: Iterable[float], y_m: Iterable[float]) -> list[Point]:
        """Places in px."""
        return [self.px(float(x), float(y)) for x, y in zip(x_m, y_m, strict=True)]

    def data(self) -> dict[str, Value]:
        """What a page needs to turn px into metres."""
        return {
            "px-per-m": f"{self.px_a_metre:.6f}",
            "origin-x": self.origin[0],
            "origin-y": self.origin[1],
        }


@dataclass(frozen=True, slots=True)
class RunwayOutline:
    """The runway in metres of the runway frame: threshold and far end along the landing direction."""

    name: str
    threshold_x_m: float
    end_x_m: float

    @classmethod
    def of(cls, exercise: Exercise) -> RunwayOutline:
        """The runway of an exercise."""
        threshold = -exercise.touchdown_beyond_threshold_m
        return cls(exercise.runway.name, threshold, threshold + exercise.runway.length_m)


def half_width_px(frame: Frame) -> float:
    """Half the width a runway is drawn with."""
    return max(RUNWAY_WIDTH_M * frame.px_a_metre, tokens.RUNWAY_LEAST_WIDTH_PX) / 2.0


def centreline(frame: Frame, runway: RunwayOutline, before_m: float, beyond_m: float) -> list[Element]:
    """The extended centreline on both sides of the runway, as far as the path reaches."""
    dash = "14 4 2 4"
    parts = []
    for near, far in ((runway.threshold_x_m, before_m), (runway.end_x_m, beyond_m)):
        start, end = frame.px(near, 0.0), frame.px(far, 0.0)
        if abs(start[1] - end[1]) > 4.0 and (far < near) == (near == runway.threshold_x_m):
            parts.append(svg.line(start, end, Colour.SOFT, tokens.RULE_PX, dash=dash, class_="centreline"))
    return parts


def runway(frame: Frame, outline: RunwayOutline) -> list[Element]:
    """The runway: outline, dashed centreline, four threshold bars; the touchdown point is drawn apart."""
    half = half_width_px(frame)
    middle, threshold = frame.px(outline.threshold_x_m, 0.0)
    top = frame.px(outline.end_x_m, 0.0)[1]
    parts = [
        svg.rectangle(
            middle - half,
            top,
            2.0 * half,
            threshold - top,
            fill=Colour.SHEET,
            stroke=Colour.INK,
            stroke_width=tokens.FURNITURE_PX,
            class_="runway",
        ),
        svg.line((middle, top + 4.0), (middle, threshold - 10.0), Colour.SOFT, tokens.RULE_PX, dash="6 4"),
    ]
    for bar in (-1.5, -0.5, 0.5, 1.5):
        across = middle + bar * half / 2.4
        parts.append(svg.line((across, threshold - 8.0), (across, threshold - 2.0), Colour.INK, tokens.RULE_PX))
    return parts


def touchdown_bar(frame: Frame, x_m: float = 0.0) -> Element:
    """The touchdown point: a bar across the runway, wider than it on both sides."""
    half = half_width_px(frame) + tokens.TOUCHDOWN_OVERHANG_PX
    across, down = frame.px(x_m, 0.0)
    return svg.line(
        (across - half, down),
        (across + half, down),
        Colour.INK,
        tokens.TOUCHDOWN_PX,
        class_="touchdown-point",
    )


@dataclass(frozen=True, slots=True)
class WindLevel:
    """One arrow of the board: velocity of the air in the runway frame, and how it is named."""

    x_mps: float
    y_mps: float
    words: tuple[str, str]

    @property
    def screen_angle_rad(self) -> float:
        """Where the air goes on the drawing."""
        return math.atan2(self.x_mps, -self.y_mps)

    @property
    def speed_kt(self) -> float:
        """Its speed, which is its length."""
        return kt_from_mps(math.hypot(self.x_mps, self.y_mps))


def level_of(
    from_true_rad: float, speed_mps: float, bearing_true_rad: float, height_words: str, units: Units
) -> WindLevel:
    """An arrow from a wind as it is said: true direction from, speed, and the words for its height."""
    towards = bearing_true_rad - (from_true_rad + math.pi)
    spoken = f"{wording.direction(from_true_rad)} {units.speed.figure(speed_mps)}"
    return WindLevel(speed_mps * math.cos(towards), speed_mps * math.sin(towards), (spoken, height_words))


def planned_levels(exercise: Exercise, units: Units) -> list[WindLevel]:
    """The arrows of a plan: the lowest level, the highest, and one between when there are three."""
    profile: WindProfile = exercise.weather.wind
    heights = [float(height) for height in profile.height_above_field_m]
    chosen = heights if len(heights) <= 3 else [heights[0], heights[len(heights) // 2], heights[-1]]
    everywhere = len(heights) == 1 and profile.shear_exponent_factor == 0.0
    levels = []
    for height_m in chosen:
        speed_mps, from_rad = profile.speed_and_direction(height_m)
        words = "at all heights" if everywhere else height_words(height_m, units)
        if height_m == heights[0] and exercise.weather.gust_mps is not None:
            words += f", gusts {units.speed.figure(exercise.weather.gust_mps)}"
        levels.append(level_of(from_rad, speed_mps, exercise.runway.bearing_true_rad, words, units))
    return levels


def height_words(height_m: float, units: Units) -> str:
    """How the height of a wind level is said."""
    return "at the field" if height_m <= _AT_THE_FIELD_M else f"at {units.rounded_height(height_m, 50.0)}"


@dataclass(frozen=True, slots=True)
class WindBlock:
    """The arrows side by side under a title, as one thing to be placed in a corner."""

    title: str
    levels: Sequence[WindLevel]

    def columns_px(self) -> list[float]:
        """Width of each arrow's column."""
        return [
            max(
                lettering.WINDOW.width_px(level.words[0]),
                lettering.NOTE.width_px(level.words[1]),
                abs(self._length_px(level) * math.cos(level.screen_angle_rad)) + 10.0,
            )
            for level in self.levels
        ]

    def arrows_height_px(self) -> float:
        """Height of the row of arrows."""
        return max(abs(self._length_px(level) * math.sin(level.screen_angle_rad)) for level in self.levels) + 20.0

    def size_px(self) -> tuple[float, float]:
        """Width and height of the whole block."""
        if not self.levels:
            return lettering.TITLE.width_px(self.title), 16.0
        words_px = 38.0 if any(level.words[0] for level in self.levels) else 0.0
        return sum(self.columns_px()) + 22.0 * (len(self.levels) - 1), 16.0 + self.arrows_height_px() + words_px

    def boxes(self, left: float, top: float) -> list[Box]:
        """Boxes of title, arrows and words with the upper left corner at a place: what the block really covers."""
        boxes = [Line(self.title, lettering.NAME).box((left, top + 11.0))]
        row = self.arrows_height_px() if self.levels else 0.0
        across = left
        for level, width in zip(self.levels, self.columns_px(), strict=True):
            middle = (across + self._middle_px(level), top + 16.0 + row / 2.0)
            half = self._length_px(level) / 2.0
            wide = abs(half * math.cos(level.screen_angle_rad)) + 4.0
            high = abs(half * math.sin(level.screen_angle_rad)) + 4.0
            boxes.append(Box(middle[0] - wide, middle[1] - high, middle[0] + wide, middle[1] + high))
            words = zip(level.words, (lettering.WINDOW, lettering.NOTE), (14.0, 31.0), strict=True)
            boxes += [Line(line, style).box((across, top + 16.0 + row + down)) for line, style, down in words if line]
            across += width + 22.0
        return boxes

    def drawn(self, left: float, top: float) -> Element:
        """The block with its upper left corner at a place."""
        parts = [svg.text((left, top + 11.0), self.title, lettering.NAME)]
        row = self.arrows_height_px() if self.levels else 0.0
        across = left
        for level, width in zip(self.levels, self.columns_px(), strict=True):
            middle = (across + self._middle_px(level), top + 16.0 + row / 2.0)
            parts += self._arrow(level, middle)
            words = zip(level.words, (lettering.WINDOW, lettering.NOTE), (14.0, 31.0), strict=True)
            parts += [svg.text((across, top + 16.0 + row + down), line, style) for line, style, down in words if line]
            across += width + 22.0
        return svg.group(*parts, class_="wind-block")

    @staticmethod
    def _middle_px(level: WindLevel) -> float:
        """Where an arrow stands over its words; without words over the title."""
        return lettering.WINDOW.width_px(level.words[0]) / 2.0 if level.words[0] else 14.0

    @staticmethod
    def _length_px(level: WindLevel) -> float:
        return max(level.speed_kt * tokens.WIND_PX_A_KNOT, 12.0)

    @staticmethod
    def _arrow(level: WindLevel, middle: Point) -> list[Element]:
        if level.speed_kt < 0.5:
            return [svg.text((middle[0], middle[1] + 4.0), "calm", lettering.NOTE, anchor="middle")]
        return ink.wind_arrow(middle, level.screen_angle_rad, level.speed_kt)


def scale_bar(frame: Frame, units: Units) -> tuple[float, Label]:
    """Length of the scale bar in px and its label: a quarter, a half or a whole mile, or its metric likes."""
    mile = NAUTICAL_MILE_M
    lengths = (
        ((0.25 * mile, "\u00bc NM"), (0.5 * mile, "\u00bd NM"), (mile, "1 NM"), (2 * mile, "2 NM"), (5 * mile, "5 NM"))
        if units.system == "imperial"
        else ((500.0, "500 m"), (1000.0, "1 km"), (2000.0, "2 km"), (5000.0, "5 km"), (10000.0, "10 km"))
    )
    length_m, words = next((pair for pair in lengths if pair[0] * frame.px_a_metre >= 44.0), lengths[-1])
    length_px = length_m * frame.px_a_metre
    words = words.replace(" ", wording.NO_BREAK_SPACE)
    return length_px, Label((Line(words, lettering.NOTE, length_px / 2.0, -9.0, "middle"),))


def drawn_scale_bar(left: float, down: float, length_px: float, label: Label) -> Element:
    """The scale bar with its left end at a place."""
    ticks = [
        svg.line((x, down - 4.0), (x, down + 4.0), Colour.INK, tokens.FURNITURE_PX) for x in (left, left + length_px)
    ]
    return svg.group(
        svg.line((left, down), (left + length_px, down), Colour.INK, tokens.FURNITURE_PX),
        *ticks,
        *label.drawn((left, down)),
        class_="scale-bar",
    )


def ground_box(frame: Frame, outline: RunwayOutline, paths: Iterable[tuple[Array, Array]]) -> Box:
    """The box in px of paths and runway."""
    half = half_width_px(frame) + tokens.TOUCHDOWN_OVERHANG_PX
    points = [frame.px(outline.threshold_x_m, 0.0), frame.px(outline.end_x_m, 0.0)]
    for x_m, y_m in paths:
        points += [frame.px(float(x), float(y)) for x in (x_m.min(), x_m.max()) for y in (y_m.min(), y_m.max())]
    across = [point[0] for point in points] + [frame.origin[0] - half, frame.origin[0] + half]
    down = [point[1] for point in points]
    return Box(min(across), min(down), max(across), max(down))


def resampled(points: Sequence[Point] | Array, step_px: float = 4.0) -> Array:
    """Points (n, 2) along the same line at equal steps, so that none of it slips through a label."""
    track = np.asarray(points, dtype=np.float64)
    along = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(track, axis=0).T))))
    wanted = np.arange(0.0, along[-1] + step_px, step_px)
    return np.column_stack((np.interp(wanted, along, track[:, 0]), np.interp(wanted, along, track[:, 1])))
