"""Fits a board: the largest scale at which paths, runway, gate labels and the wind have room, and where they stand."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from volplane.domain.exercise.exercise import GateName
from volplane.domain.geometry.airfield import Side
from volplane.faces.report import board, gate_labels, tokens
from volplane.faces.report.board import Array, Frame, RunwayOutline, WindBlock
from volplane.faces.report.boxes import Box, Candidate, Placer, around
from volplane.faces.report.gate_labels import Lines
from volplane.faces.report.svg import Point
from volplane.units import NAUTICAL_MILE_M

# labels may come this near to the figure's edge; the page's margin and gap make it 32 px of air in all
EDGE_PX = 4.0
CORNER_GAP_PX = 6.0
_GATE_HALF_PX = 7.5
_EVERYWHERE = Box(-1e5, -1e5, 1e5, 1e5)


@dataclass(frozen=True, slots=True)
class Subject:
    """What must fit: paths over the ground in metres, gates with their labels, runway, wind.

    `air_px` is kept round the paths; the scale may shrink to `least_share_for_wind` so that the wind gets its corner.
    """

    outline: RunwayOutline
    paths: Sequence[tuple[Array, Array]]
    gates: Mapping[GateName, tuple[float, float]]
    lines: Mapping[GateName, Lines]
    pattern: Side
    wind: WindBlock
    air_px: float = tokens.AIR_PX / 2.0
    least_share_for_wind: float = 0.85


@dataclass(frozen=True, slots=True)
class Fit:
    """A fitted board: the frame, where the gates are, and their labels."""

    frame: Frame
    points: dict[GateName, Point]
    labels: dict[GateName, Candidate]

    def moved(self, across_px: float, down_px: float) -> Fit:
        """The same board elsewhere in the figure."""

        def shift(point: Point) -> Point:
            return point[0] + across_px, point[1] + down_px

        return Fit(
            Frame(self.frame.px_a_metre, shift(self.frame.origin)),
            {name: shift(point) for name, point in self.points.items()},
            {name: Candidate(label.label, shift(label.at)) for name, label in self.labels.items()},
        )

    def placer(self, subject: Subject, size_px: tuple[float, float]) -> Placer:
        """A placer for everything else, with gates and their labels taken."""
        placer = Placer(Box(0.0, 0.0, *size_px))
        placer.clear_of = _lines_to_keep_clear(self.frame, subject)
        for label in self.labels.values():
            placer.take(label.box)
        for point in self.points.values():
            placer.take(gate_box(point))
        return placer


def gate_box(point: Point) -> Box:
    """The box of a gate's circle."""
    return Box(point[0], point[1], point[0], point[1]).grown(_GATE_HALF_PX)


def fitted(subject: Subject, size_px: tuple[float, float]) -> Fit:
    """The largest scale at which everything fits; the smallest there is when nothing does.

    The wind belongs into the upper corner on the pattern side: for that the scale may be a little smaller.
    """
    without_wind: list[Fit] = []
    with_wind: list[tuple[float, Fit]] = []
    fit = _tried(subject, board.SCALES_PX_A_MILE[-1], size_px)[0]
    for scale in board.SCALES_PX_A_MILE:
        if _surely_too_large(subject, scale, size_px):
            continue
        if with_wind and scale < subject.least_share_for_wind * with_wind[0][0]:
            break
        fit, is_good = _tried(subject, scale, size_px)
        corners = _wind_corners(fit, subject, size_px) if is_good else []
        if corners and corners[0] == 0:
            return fit
        if corners:
            with_wind.append((scale, fit))
        elif is_good:
            without_wind.append(fit)
    return next((fit for _, fit in with_wind), next(iter(without_wind), fit))


def held(subject: Subject, frame: Frame) -> Fit:
    """The board in a frame that holds still, as while something is dragged; labels may then reach over the edge."""
    return _labelled(subject, frame)


def _tried(subject: Subject, scale: float, size_px: tuple[float, float]) -> tuple[Fit, bool]:
    """The board at a scale, centred, and whether it fits."""
    loose = Frame(scale / NAUTICAL_MILE_M, (0.0, 0.0))
    ground = board.ground_box(loose, subject.outline, subject.paths)
    fit = _labelled(subject, loose)
    labels = [label.box.grown(EDGE_PX) for label in fit.labels.values()]
    needed = around([ground.grown(subject.air_px), *labels])
    across = size_px[0] / 2.0 - (needed.left + needed.right) / 2.0
    down = size_px[1] / 2.0 - (needed.top + needed.bottom) / 2.0
    fits = needed.right - needed.left <= size_px[0] and needed.bottom - needed.top <= size_px[1]
    return fit.moved(round(across, 1), round(down, 1)), fits


def _surely_too_large(subject: Subject, scale: float, size_px: tuple[float, float]) -> bool:
    """Whether paths and runway alone, without labels, are larger than the figure."""
    ground = board.ground_box(Frame(scale / NAUTICAL_MILE_M, (0.0, 0.0)), subject.outline, subject.paths)
    ground = ground.grown(subject.air_px)
    return ground.right - ground.left > size_px[0] or ground.bottom - ground.top > size_px[1]


def _labelled(subject: Subject, frame: Frame) -> Fit:
    """Gates and their labels, placed against paths and runway and against each other only."""
    points = {name: frame.px(x_m, y_m) for name, (x_m, y_m) in subject.gates.items()}
    placer = Placer(_EVERYWHERE, _lines_to_keep_clear(frame, subject))
    for point in points.values():
        placer.take(gate_box(point))
    wished = gate_labels.places(subject.lines, points, subject.pattern)
    return Fit(frame, points, {name: placer.place_surely(wished[name]) for name in points})


def _wind_corners(fit: Fit, subject: Subject, size_px: tuple[float, float]) -> list[int]:
    """The corners that have room for the wind, in the order of preference."""
    return free_corners(fit.placer(subject, size_px), subject.wind, subject.pattern, size_px)


def free_corners(placer: Placer, wind: WindBlock, pattern: Side, size_px: tuple[float, float]) -> list[int]:
    """Numbers of the corners in which nothing of the wind touches anything."""
    corners = corner_boxes(wind.size_px(), pattern, size_px)
    usual, placer.frame = placer.frame, Box(0.0, 0.0, *size_px).grown(CORNER_GAP_PX + 1.0)
    free = [
        number
        for number, corner in enumerate(corners)
        if all(placer.is_free(box.grown(CORNER_GAP_PX)) for box in wind.boxes(corner.left, corner.top))
    ]
    placer.frame = usual
    return free


def corner_boxes(size: tuple[float, float], pattern: Side, board_px: tuple[float, float]) -> list[Box]:
    """Boxes of a size in the corners of the board: upper on the pattern side first, then the others."""
    left, right = 0.0, board_px[0] - size[0]
    top, bottom = 0.0, board_px[1] - size[1]
    near, far = (left, right) if pattern is Side.LEFT else (right, left)
    corners = [(near, top), (far, top), (far, bottom), (near, bottom - 30.0)]
    return [Box(x, y, x + size[0], y + size[1]) for x, y in corners]


def _lines_to_keep_clear(frame: Frame, subject: Subject) -> Array:
    """Points along paths, runway edges and the centreline, denser than any label is high."""
    half = board.half_width_px(frame)
    outline = subject.outline
    near, far = frame.px(outline.threshold_x_m, 0.0), frame.px(outline.end_x_m, 0.0)
    runway = [[(near[0] + side, near[1]), (far[0] + side, far[1])] for side in (-half, 0.0, half)]
    reach = [frame.px(float(end), 0.0) for x_m, _ in subject.paths for end in (x_m.min(), x_m.max())]
    centreline = [min(reach, key=lambda point: point[1]), max(reach, key=lambda point: point[1])]
    paths = [frame.points(x_m, y_m) for x_m, y_m in subject.paths]
    return np.concatenate(
        [board.resampled(line) for line in [*paths, *(np.array(line) for line in (*runway, centreline))]]
    )
