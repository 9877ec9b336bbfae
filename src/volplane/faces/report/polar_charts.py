"""The measured glide and what it is worth: sink against indicated airspeed, down the page as the airplane goes.

Points that were used are filled, those left out are open and say why, the handbook is a cross; none of it needs
colour. The 90 % band is two dotted lines.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from volplane.faces.documents import wording
from volplane.faces.documents.wording import IMPERIAL, Units
from volplane.faces.report import axes, board, ink, svg, tokens
from volplane.faces.report.axes import DOTTED, Plot, Scale
from volplane.faces.report.boxes import Box, Candidate, Placer, single
from volplane.faces.report.chart_marks import (
    CROSS_PX,
    axis_quantity,
    cross,
    held_inside,
    label_near,
    left_out,
    whisker_across,
    with_neighbours,
)
from volplane.faces.report.charts import BAND_SD
from volplane.faces.report.lettering import FIGURE, NAME, NOTE
from volplane.faces.report.svg import Drawing, Element, Point
from volplane.faces.report.tokens import Colour, Theme

Array = NDArray[np.float64]
POLAR_PX = (560.0, 340.0)
NOT_MEASURED = "No glide is known at any speed."
# most lines across a chart
_SINKS = 8
_LEFT_PX, _TOP_PX, _FOOT_PX = 48.0, 32.0, 44.0


@dataclass(frozen=True, slots=True)
class PolarPoint:
    """A glide as measured, reduced to the weight and air of the curve; `why` says in words why it was left out."""

    ias_mps: float
    sink_mps: float
    is_used: bool = True
    why: str = ""


@dataclass(frozen=True, slots=True)
class PolarLine:
    """Sink against indicated airspeed, arrays (n,); `low_mps` and `high_mps` are the 90 % band, None when unknown.

    `best_ias_mps` and `best_sink_mps` are the point of the best glide, `best_sd_mps` the standard error of its speed.
    """

    name: str
    ias_mps: Array
    sink_mps: Array
    best_ias_mps: float
    best_sink_mps: float
    best_ratio: float
    low_mps: Array | None = None
    high_mps: Array | None = None
    best_sd_mps: float | None = None


@dataclass(frozen=True, slots=True)
class MeasuredGlideView:
    """What the polar of one measurement shows; `handbook` is the (indicated speed, sink) the airplane file implies."""

    line: PolarLine | None
    points: tuple[PolarPoint, ...]
    handbook: tuple[float, float] | None = None


def polar_chart(
    view: MeasuredGlideView,
    *,
    size_px: tuple[float, float] = POLAR_PX,
    units: Units = IMPERIAL,
    theme: Theme = Theme.PAGE,
) -> str:
    """The measured polar as SVG: points, curve, 90 % band, outliers with their reason, handbook, best glide."""
    name, words = "polar", f"Sink against indicated airspeed, {units.sink.unit}"
    frame = _frame_of(view, size_px, units)
    if frame is None:
        return axes.nothing_to_show(name, words, NOT_MEASURED, size_px).svg(theme)
    placer = Placer(Box(frame.area.left + 2.0, 18.0, size_px[0], frame.area.bottom - 2.0))
    lines: list[Element] = []
    if view.line is not None:
        lines = _curve(view.line, frame, placer, units)
    _keep_clear(view, frame, placer, units)
    # reasons stand close to their glides; what may move further away comes after them
    labels = _points(view.points, frame, placer, units)
    labels += [] if view.line is None else _best_label(view.line, frame, placer, units)
    labels += _handbook(view.handbook, frame, placer, units)
    if view.line is not None:
        labels += _band_name(view.line, frame, placer, units)
    parts = (axes.title(words), *_axes(frame, size_px, units), *lines, *labels)
    description = _described(view, units)
    return Drawing(name, *size_px, words, description, parts, {"figure": name, **frame.data()}).svg(theme)


def polar_by_weight(
    lines: Sequence[PolarLine],
    *,
    size_px: tuple[float, float] = POLAR_PX,
    units: Units = IMPERIAL,
    theme: Theme = Theme.PAGE,
) -> str:
    """The polar at several weights as SVG, each named at its line, each with its best glide: the first is today's."""
    name, words = "polar-by-weight", f"Sink against indicated airspeed, {units.sink.unit}"
    if not lines:
        return axes.nothing_to_show(name, words, NOT_MEASURED, size_px).svg(theme)
    frame = _frame(
        np.concatenate([line.ias_mps for line in lines]),
        np.concatenate([line.sink_mps for line in lines]),
        (size_px[0] - 78.0, size_px[1]),
        units,
    )
    placer = Placer(Box(frame.area.left + 2.0, 18.0, size_px[0], frame.area.bottom + 12.0))
    drawn: list[Element] = []
    for number, line in enumerate(lines):
        path = _line_points(frame, line.ias_mps, line.sink_mps, units)
        placer.clear_of = np.concatenate([np.reshape(placer.clear_of, (-1, 2)), board.resampled(path)])
        colour, width = (Colour.INK, tokens.PATH_PX) if number == 0 else (Colour.SOFT, tokens.PLAN_BEHIND_PX)
        drawn.append(svg.polyline(ink.thinned(path), colour, width, class_="polar"))
    for number, line in enumerate(lines):
        at = _at(frame, line.best_ias_mps, line.best_sink_mps, units)
        drawn.append(ink.gate_circle(at, is_behind=number > 0))
        placer.take(Box(*at, *at).grown(6.0))
    labels: list[Element] = []
    for number, line in enumerate(lines):
        end = _line_points(frame, line.ias_mps[-1:], line.sink_mps[-1:], units)[0]
        style = NAME if number == 0 else NOTE
        options = [Candidate(single(line.name, style), (end[0] + 8.0, end[1] + down)) for down in (4.5, 16.0, -8.0)]
        labels += (placed := placer.place_surely(options)).label.drawn(placed.at)
    labels += _best_label(lines[0], frame, placer, units)
    description = ". ".join(f"{line.name}: {_best_words(line, units)}" for line in lines)
    parts = (axes.title(words), *_axes(frame, size_px, units), *drawn, *labels)
    return Drawing(name, *size_px, words, description, parts, {"figure": name, **frame.data()}).svg(theme)


def _frame_of(view: MeasuredGlideView, size_px: tuple[float, float], units: Units) -> Plot | None:
    across = [point.ias_mps for point in view.points if point.is_used]
    down = [point.sink_mps for point in view.points if point.is_used]
    if view.handbook is not None:
        across.append(view.handbook[0])
        down.append(view.handbook[1])
    if view.line is not None:
        across += view.line.ias_mps.tolist()
        for array in (view.line.sink_mps, view.line.low_mps, view.line.high_mps):
            down += [] if array is None else array.tolist()
    across = with_neighbours(across, [point.ias_mps for point in view.points if not point.is_used])
    known = [sink for sink in down if math.isfinite(sink)]
    down = with_neighbours(known, [point.sink_mps for point in view.points if not point.is_used])
    if not across:
        return None
    return _frame(np.array(across), np.array(down), size_px, units)


def _frame(ias_mps: Array, sink_mps: Array, size_px: tuple[float, float], units: Units) -> Plot:
    speed, sink = ias_mps / units.speed.unit_si, sink_mps / units.sink.unit_si
    left, right = axes.rounded_out(float(np.nanmin(speed)), float(np.nanmax(speed)), 8)
    least, most = axes.rounded_out(float(np.nanmin(sink)), float(np.nanmax(sink)), _SINKS)
    if right - left < 1e-9:
        left, right = left - 10.0, right + 10.0
    if most - least < 1e-9:
        least, most = least - 100.0, most + 100.0
    area = Box(_LEFT_PX, _TOP_PX, size_px[0] - 10.0, size_px[1] - _FOOT_PX)
    # more sink lies lower
    return Plot(area, Scale(left, right, area.left, area.right), Scale(least, most, area.top, area.bottom))


def _axes(frame: Plot, size_px: tuple[float, float], units: Units) -> list[Element]:
    decimals = 0 if axes.step_for(frame.up.high - frame.up.low, _SINKS) >= 1.0 else 1
    rows = axes.grid(
        frame, axes.ticks(frame.up.low, frame.up.high, _SINKS), lambda value: wording.figure(value, decimals)
    )
    speeds = axes.ticks(frame.across.low, frame.across.high, 8)
    return [*rows, *axis_quantity(frame, speeds, f"indicated airspeed, {units.speed.unit}", size_px)]


def _at(frame: Plot, ias_mps: float, sink_mps: float, units: Units) -> Point:
    return frame.at(ias_mps / units.speed.unit_si, sink_mps / units.sink.unit_si)


def _line_points(frame: Plot, ias_mps: Array, sink_mps: Array, units: Units) -> list[Point]:
    return [
        _at(frame, float(speed), float(sink), units)
        for speed, sink in zip(ias_mps, sink_mps, strict=True)
        if math.isfinite(speed) and math.isfinite(sink)
    ]


def _curve(line: PolarLine, frame: Plot, placer: Placer, units: Units) -> list[Element]:
    path = _line_points(frame, line.ias_mps, line.sink_mps, units)
    tracks = [board.resampled(path)]
    parts = []
    for edge in (line.low_mps, line.high_mps):
        if edge is not None:
            points = _line_points(frame, line.ias_mps, edge, units)
            tracks.append(board.resampled(points))
            parts.append(svg.polyline(points, Colour.SOFT, tokens.CONSTRUCTION_PX, dash=DOTTED, class_="band"))
    placer.clear_of = np.concatenate(tracks)
    at = _at(frame, line.best_ias_mps, line.best_sink_mps, units)
    parts += [
        axes.drop_line(at[0], at[1], frame.area.bottom),
        svg.polyline(ink.thinned(path), Colour.INK, tokens.PATH_PX, class_="polar"),
    ]
    if line.best_sd_mps is not None:
        half = BAND_SD * line.best_sd_mps / units.speed.unit_si
        best = line.best_ias_mps / units.speed.unit_si
        ends = frame.across.px(best - half), frame.across.px(best + half)
        parts += whisker_across(frame, *ends, frame.area.bottom - 1.0)
    return [*parts, ink.gate_circle(at)]


def _keep_clear(view: MeasuredGlideView, frame: Plot, placer: Placer, units: Units) -> None:
    """Symbols take their places before any label does."""
    for point in view.points:
        at = held_inside(_at(frame, point.ias_mps, point.sink_mps, units), frame)
        placer.take(Box(*at, *at).grown(tokens.DOT_RADIUS_PX))
    if view.line is not None:
        at = _at(frame, view.line.best_ias_mps, view.line.best_sink_mps, units)
        placer.take(Box(*at, *at).grown(tokens.GATE_RADIUS_PX))
    if view.handbook is not None:
        at = _at(frame, *view.handbook, units)
        placer.take(Box(*at, *at).grown(CROSS_PX))


def _best_words(line: PolarLine, units: Units) -> str:
    band = "" if line.best_sd_mps is None else f", give or take {units.speed.figure(BAND_SD * line.best_sd_mps)}"
    return f"best glide {units.speed.text(line.best_ias_mps)}{band}, {wording.ratio(line.best_ratio)}"


def _best_label(line: PolarLine, frame: Plot, placer: Placer, units: Units) -> list[Element]:
    at = _at(frame, line.best_ias_mps, line.best_sink_mps, units)
    return label_near(
        _best_words(line, units), FIGURE, at, placer, (26.0, 40.0, -18.0, -34.0, 54.0, -50.0, 72.0, 90.0), sure=True
    )


def _handbook(at_si: tuple[float, float] | None, frame: Plot, placer: Placer, units: Units) -> list[Element]:
    if at_si is None:
        return []
    at = _at(frame, *at_si, units)
    return [cross(at), *label_near("handbook", NOTE, at, placer, (-12.0, 20.0, -26.0, 34.0), sure=True)]


def _points(points: Sequence[PolarPoint], frame: Plot, placer: Placer, units: Units) -> list[Element]:
    parts: list[Element] = []
    for point in points:
        wished = _at(frame, point.ias_mps, point.sink_mps, units)
        at = held_inside(wished, frame)
        if point.is_used:
            parts.append(ink.flown_dot(at))
            continue
        parts.append(left_out(at))
        parts += label_near(_why(point, at == wished, units), NOTE, at, placer, (-9.0, 17.0, -22.0, 30.0), sure=False)
    return parts


def _why(point: PolarPoint, is_in_place: bool, units: Units) -> str:
    """The reason; beyond the edge of the chart also where the glide really lies."""
    if is_in_place:
        return point.why
    return ", ".join(filter(None, (point.why, units.speed.text(point.ias_mps), units.sink.text(point.sink_mps))))


def _band_name(line: PolarLine, frame: Plot, placer: Placer, units: Units) -> list[Element]:
    options = []
    label = single("90\u00a0% band", NOTE, "middle")
    for edge, downs in ((line.high_mps, (18.0, 28.0)), (line.low_mps, (-10.0, -20.0))):
        if edge is None:
            continue
        path = _line_points(frame, line.ias_mps, edge, units)
        for part in (0.85, 0.15, 0.7, 0.3, 0.5):
            at = path[int(part * (len(path) - 1))]
            options += [Candidate(label, (at[0], at[1] + down)) for down in downs]
    found = placer.place(options)
    return [] if found is None else found.label.drawn(found.at)


def _described(view: MeasuredGlideView, units: Units) -> str:
    used = sum(point.is_used for point in view.points)
    said = [] if view.line is None else [wording.sentence_case(_best_words(view.line, units))]
    said.append(f"{wording.sentence_case(wording.counted(used, 'glide'))} used, {len(view.points) - used} left out")
    said += [
        f"{units.speed.text(point.ias_mps)} left out: {point.why or 'no reason told'}"
        for point in view.points
        if not point.is_used
    ]
    if view.handbook is not None:
        speed, sink = view.handbook
        said.append(f"handbook {units.speed.text(speed)}, {units.sink.text(sink)}")
    return ". ".join(said) + "."
