"""The stand-in: sink against manifold pressure with the sink wished for, and where the setting is honest.

Sink runs down the page. Settings flown are filled dots, those left out open ones; the dead engine's sink is a line
across; where the fitted line meets it is the match, an open circle with its 90 % whisker at the foot.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
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
STAND_IN_PX = (560.0, 320.0)
HONESTY_PX = (560.0, 330.0)
NOT_MATCHED = "No setting is known that stands in for the dead engine."
NOT_COMPARED = "The stand-in was not compared with the dead engine."
_LEFT_PX, _TOP_PX, _FOOT_PX = 48.0, 32.0, 44.0
_ROW_PX = 25.0


@dataclass(frozen=True, slots=True)
class SettingFlown:
    """A powered descent as flown, brought to one weight and air; `why` says in words why it was left out."""

    manifold_pressure_pa: float
    sink_mps: float
    is_used: bool = True
    why: str = ""


@dataclass(frozen=True, slots=True)
class StandInView:
    """What the stand-in chart shows: sink against manifold pressure, arrays (n,), and the match with the dead engine.

    `wished_sink_mps` is the dead engine's sink; `match_pa` the setting that gives it, None when there is none, and
    `match_sd_pa` its standard error. `is_estimate` marks a line that comes from the model, not from settings flown;
    `stated` is the (manifold pressure, sink) of the setting in the airplane file.
    """

    manifold_pressure_pa: Array
    sink_mps: Array
    wished_sink_mps: float
    match_pa: float | None
    match_sd_pa: float | None = None
    low_mps: Array | None = None
    high_mps: Array | None = None
    points: tuple[SettingFlown, ...] = ()
    is_estimate: bool = False
    stated: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class HonestyRow:
    """Sink of dead engine and stand-in in one moment of the exercise, told by `name`."""

    name: str
    real_sink_mps: float
    standin_sink_mps: float

    @property
    def difference_mps(self) -> float:
        """How much more the stand-in sinks."""
        return self.standin_sink_mps - self.real_sink_mps


def stand_in_chart(
    view: StandInView | None,
    *,
    size_px: tuple[float, float] = STAND_IN_PX,
    units: Units = IMPERIAL,
    theme: Theme = Theme.PAGE,
) -> str:
    """Sink against manifold pressure as SVG, with the sink wished for and the setting that gives it."""
    name, words = "stand-in", f"Sink against manifold pressure, {units.sink.unit}"
    if view is None or not len(view.manifold_pressure_pa):
        return axes.nothing_to_show(name, words, NOT_MATCHED, size_px).svg(theme)
    frame = _frame(view, size_px, units)
    placer = Placer(Box(frame.area.left + 2.0, 18.0, size_px[0], frame.area.bottom - 6.0))
    lines = _lines(view, frame, placer, units)
    for point in view.points:
        at = held_inside(_at(frame, point.manifold_pressure_pa, point.sink_mps, units), frame)
        placer.take(Box(*at, *at).grown(tokens.DOT_RADIUS_PX))
    labels = [*_match(view, frame, placer, units), *_wished(view, frame, placer, units)]
    labels += [
        *_points(view, frame, placer, units),
        *_stated(view, frame, placer, units),
        *_line_name(view, frame, placer, units),
    ]
    steps = axes.ticks(frame.across.low, frame.across.high, 8)
    decimals = 0 if axes.step_for(frame.across.high - frame.across.low, 8) >= 1.0 else 1
    named = f"manifold pressure, {units.manifold_pressure.unit}"
    parts = (
        axes.title(words),
        *axes.grid(frame, axes.ticks(frame.up.low, frame.up.high), _sink_words(frame)),
        *axis_quantity(frame, steps, named, size_px, decimals),
        *lines,
        *labels,
    )
    return Drawing(name, *size_px, words, _described(view, units), parts, {"figure": name, **frame.data()}).svg(theme)


def honesty_chart(
    rows: Sequence[HonestyRow],
    *,
    size_px: tuple[float, float] = HONESTY_PX,
    units: Units = IMPERIAL,
    theme: Theme = Theme.PAGE,
) -> str:
    """Sink of the stand-in beside the dead engine's, a row a moment, with the difference; as SVG."""
    name, words = "honesty", f"Sink, {units.sink.unit}"
    if not rows:
        return axes.nothing_to_show(name, words, NOT_COMPARED, size_px).svg(theme)
    height = 44.0 + _ROW_PX * len(rows) + 26.0
    left = max(FIGURE.width_px(row.name) for row in rows) + 16.0
    right = size_px[0] - 74.0
    values = [sink / units.sink.unit_si for row in rows for sink in (row.real_sink_mps, row.standin_sink_mps)]
    low, high = axes.rounded_out(min(values), max(values), 5)
    if high - low < 1e-9:
        low, high = low - 100.0, high + 100.0
    area = Box(left, 44.0, right, height - 26.0)
    frame = Plot(area, Scale(low, high, area.left, area.right), Scale(float(len(rows)), 0.0, area.bottom, area.top))
    parts: list[Element] = [axes.title(words), *_honesty_key(size_px)]
    decimals = 0 if axes.step_for(high - low, 5) >= 1.0 else 1
    for tick in axes.ticks(low, high, 5):
        across = frame.across.px(tick)
        parts.append(svg.line((across, area.top), (across, area.bottom), Colour.GRID, tokens.RULE_PX))
        parts.append(svg.text((across, area.bottom + 18.0), wording.figure(tick, decimals), NOTE, anchor="middle"))
    for number, row in enumerate(rows):
        parts += _honesty_row(row, frame, frame.up.px(number + 0.5), size_px, units)
    described = ". ".join(_honesty_words(row, units) for row in rows)
    return Drawing(name, size_px[0], height, words, described, tuple(parts), {"figure": name}).svg(theme)


def _frame(view: StandInView, size_px: tuple[float, float], units: Units) -> Plot:
    used = [point for point in view.points if point.is_used]
    pressure = [*view.manifold_pressure_pa.tolist(), *(point.manifold_pressure_pa for point in used)]
    sinks = [*view.sink_mps.tolist(), view.wished_sink_mps, *(point.sink_mps for point in used)]
    for edge in (view.low_mps, view.high_mps):
        sinks += [] if edge is None else [value for value in edge.tolist() if math.isfinite(value)]
    if view.match_pa is not None:
        pressure.append(view.match_pa)
    if view.stated is not None:
        pressure.append(view.stated[0])
        sinks.append(view.stated[1])
    others = [point for point in view.points if not point.is_used]
    pressure = with_neighbours(pressure, [point.manifold_pressure_pa for point in others])
    sinks = with_neighbours(sinks, [point.sink_mps for point in others])
    left, right = _out([value / units.manifold_pressure.unit_si for value in pressure], 8)
    least, most = _out([value / units.sink.unit_si for value in sinks], 6)
    area = Box(_LEFT_PX, _TOP_PX, size_px[0] - 10.0, size_px[1] - _FOOT_PX)
    return Plot(area, Scale(left, right, area.left, area.right), Scale(least, most, area.top, area.bottom))


def _out(values: Sequence[float], most: int) -> tuple[float, float]:
    low, high = axes.rounded_out(min(values), max(values), most)
    return (low, high) if high - low > 1e-9 else (low - 1.0, high + 1.0)


def _sink_words(frame: Plot) -> Callable[[float], str]:
    decimals = 0 if axes.step_for(frame.up.high - frame.up.low, 6) >= 1.0 else 1
    return lambda value: wording.figure(value, decimals)


def _at(frame: Plot, pressure_pa: float, sink_mps: float, units: Units) -> Point:
    return frame.at(pressure_pa / units.manifold_pressure.unit_si, sink_mps / units.sink.unit_si)


def _path(view: StandInView, sink_mps: Array, frame: Plot, units: Units) -> list[Point]:
    pairs = zip(view.manifold_pressure_pa, sink_mps, strict=True)
    return [_at(frame, float(pressure), float(sink), units) for pressure, sink in pairs if math.isfinite(sink)]


def _lines(view: StandInView, frame: Plot, placer: Placer, units: Units) -> list[Element]:
    """Band, fitted line (dashed when it is an estimate) and the sink wished for."""
    path = _path(view, view.sink_mps, frame, units)
    wished = frame.up.px(view.wished_sink_mps / units.sink.unit_si)
    start, end = (frame.area.left, wished), (frame.area.right, wished)
    tracks = [board.resampled(path), board.resampled([start, end])]
    parts: list[Element] = []
    for edge in (view.low_mps, view.high_mps):
        if edge is not None:
            points = _path(view, edge, frame, units)
            tracks.append(board.resampled(points))
            parts.append(svg.polyline(points, Colour.SOFT, tokens.CONSTRUCTION_PX, dash=DOTTED, class_="band"))
    placer.clear_of = np.concatenate(tracks)
    dash = "6 4" if view.is_estimate else None
    return [
        *parts,
        svg.line(start, end, Colour.INK, tokens.FURNITURE_PX, class_="wished"),
        svg.polyline(ink.thinned(path), Colour.INK, tokens.PATH_PX, dash=dash, class_="fitted"),
    ]


def _match(view: StandInView, frame: Plot, placer: Placer, units: Units) -> list[Element]:
    if view.match_pa is None:
        return []
    at = _at(frame, view.match_pa, view.wished_sink_mps, units)
    placer.take(Box(*at, *at).grown(tokens.GATE_RADIUS_PX))
    parts = [axes.drop_line(at[0], at[1], frame.area.bottom)]
    if view.match_sd_pa is not None:
        half, unit = BAND_SD * view.match_sd_pa, units.manifold_pressure.unit_si
        ends = frame.across.px((view.match_pa - half) / unit), frame.across.px((view.match_pa + half) / unit)
        parts += whisker_across(frame, *ends, frame.area.bottom - 1.0)
    parts.append(ink.gate_circle(at))
    return [*parts, *label_near(_match_words(view, units), NAME, at, placer, (26.0, -18.0, 42.0, -34.0), sure=True)]


def _match_words(view: StandInView, units: Units) -> str:
    if view.match_pa is None:
        return "no match"
    words = units.manifold_pressure.text(view.match_pa)
    if view.match_sd_pa is None:
        return words
    return f"{words}, give or take {units.manifold_pressure.figure(BAND_SD * view.match_sd_pa)}"


def _wished(view: StandInView, frame: Plot, placer: Placer, units: Units) -> list[Element]:
    wished = frame.up.px(view.wished_sink_mps / units.sink.unit_si)
    words = f"dead engine, {units.sink.text(view.wished_sink_mps)}"
    ends = (("end", frame.area.right), ("start", frame.area.left + 4.0))
    options = [
        Candidate(single(words, FIGURE, anchor), (across, wished + down))
        for down in (-7.0, 16.0)
        for anchor, across in ends
    ]
    found = placer.place_surely(options)
    return found.label.drawn(found.at)


def _points(view: StandInView, frame: Plot, placer: Placer, units: Units) -> list[Element]:
    parts: list[Element] = []
    for point in view.points:
        wished = _at(frame, point.manifold_pressure_pa, point.sink_mps, units)
        at = held_inside(wished, frame)
        parts.append(ink.flown_dot(at) if point.is_used else left_out(at))
        if not point.is_used:
            parts += label_near(
                _why(point, at == wished, units), NOTE, at, placer, (-9.0, 17.0, -22.0, 30.0), sure=False
            )
    return parts


def _stated(view: StandInView, frame: Plot, placer: Placer, units: Units) -> list[Element]:
    if view.stated is None:
        return []
    at = _at(frame, *view.stated, units)
    placer.take(Box(*at, *at).grown(CROSS_PX))
    words = f"airplane file, {units.manifold_pressure.text(view.stated[0])}"
    return [cross(at), *label_near(words, NOTE, at, placer, (-13.0, 21.0, -27.0, 35.0), sure=True)]


def _why(point: SettingFlown, is_in_place: bool, units: Units) -> str:
    """The reason; beyond the edge of the chart also where the setting really lies."""
    if is_in_place:
        return point.why
    pressure, sink = units.manifold_pressure.text(point.manifold_pressure_pa), units.sink.text(point.sink_mps)
    return ", ".join(filter(None, (point.why, pressure, sink)))


def _line_name(view: StandInView, frame: Plot, placer: Placer, units: Units) -> list[Element]:
    words = "model, estimate" if view.is_estimate else "90\u00a0% band" if view.low_mps is not None else ""
    edge = view.sink_mps if view.is_estimate or view.high_mps is None else view.high_mps
    path = _path(view, edge, frame, units)
    if not words or not path:
        return []
    options = []
    for part in (0.85, 0.15, 0.7, 0.3, 0.5):
        at = path[int(part * (len(path) - 1))]
        options += [
            Candidate(single(words, NOTE, anchor), (at[0] + aside, at[1] + down))
            for down in (18.0, -10.0, 28.0)
            for anchor, aside in (("middle", 0.0), ("end", -8.0), ("start", 8.0))
        ]
    found = placer.place(options)
    return [] if found is None else found.label.drawn(found.at)


def _described(view: StandInView, units: Units) -> str:
    said = f"The dead engine sinks {units.sink.text(view.wished_sink_mps)}. "
    if view.stated is not None:
        setting, sink = units.manifold_pressure.text(view.stated[0]), units.sink.text(view.stated[1])
        said += f"The setting in the airplane file, {setting}, sinks {sink}. "
    said += "No setting gives that sink." if view.match_pa is None else f"Setting {_match_words(view, units)}."
    for point in view.points:
        if not point.is_used:
            pressure = units.manifold_pressure.text(point.manifold_pressure_pa)
            said += f" {pressure} left out: {point.why or 'no reason told'}."
    return said


def _honesty_key(size_px: tuple[float, float]) -> list[Element]:
    """What the two symbols are, and what stands at the end of a row; right of the title."""
    right = size_px[0]
    width = NOTE.width_px("dead engine")
    open_at = right - 74.0 - width - 10.0
    filled_at = open_at - 22.0 - NOTE.width_px("stand-in")
    return [
        ink.flown_dot((filled_at, 30.0)),
        svg.text((filled_at + 8.0, 34.3), "stand-in", NOTE),
        ink.gate_circle((open_at, 30.0), is_behind=True),
        svg.text((open_at + 10.0, 34.3), "dead engine", NOTE),
        svg.text((right, 34.3), "difference", NOTE, anchor="end"),
    ]


def _honesty_words(row: HonestyRow, units: Units) -> str:
    real, standin = units.sink.text(row.real_sink_mps), units.sink.text(row.standin_sink_mps)
    return f"{row.name}: dead engine {real}, stand-in {standin}"


def _honesty_row(
    row: HonestyRow, frame: Plot, down: float, size_px: tuple[float, float], units: Units
) -> list[Element]:
    real, standin = (frame.across.px(sink / units.sink.unit_si) for sink in (row.real_sink_mps, row.standin_sink_mps))
    decimals = units.sink.decimals
    difference = wording.signed(row.difference_mps / units.sink.unit_si, decimals)
    return [
        svg.text((0.0, down + 4.5), row.name, FIGURE),
        svg.line((real, down), (standin, down), Colour.INK, tokens.RULE_PX),
        ink.gate_circle((real, down), is_behind=True),
        ink.flown_dot((standin, down)),
        svg.text((size_px[0], down + 4.5), difference, FIGURE, anchor="end"),
    ]
