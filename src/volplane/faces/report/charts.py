"""Charts of an exercise flown: height in hand, flown against plan, glide by phase.

One chart a finding, and it shows the claim at once. Times along the foot count from the high key. Where a recording
cannot give what a chart shows, the chart says so in one sentence.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from volplane.domain.debrief.results import Attempt, HeightInHand, PhaseGlide
from volplane.domain.exercise.exercise import GateName
from volplane.faces.documents import wording
from volplane.faces.documents.wording import IMPERIAL, Units
from volplane.faces.report import axes, board, flown_board, ink, svg, tokens
from volplane.faces.report.axes import DOTTED, Plot
from volplane.faces.report.board import Array
from volplane.faces.report.boxes import Box, Candidate, Placer, single
from volplane.faces.report.lettering import FIGURE, NOTE
from volplane.faces.report.svg import Drawing, Element, Point, Value
from volplane.faces.report.tokens import Colour, Theme

CHART_PX = (286.0, 168.0)
# 90 % of a normal distribution lies within this many standard deviations
BAND_SD = 1.645
_LEFT_PX, _TOP_PX, _FOOT_PX = 44.0, 26.0, 26.0


def height_in_hand_chart(
    attempt: Attempt,
    *,
    marked_time_s: float | None = None,
    mark_words: str = "",
    span_s: tuple[float, float] | None = None,
    size_px: tuple[float, float] = CHART_PX,
    units: Units = IMPERIAL,
    theme: Theme = Theme.PAGE,
) -> str:
    """Height in hand against time with its 90 % band as SVG.

    `marked_time_s` is a second of the recording that gets a dotted vertical named `mark_words`; `span_s` (times of the
    recording) shows a part of the flight.
    """
    name, words = "height-in-hand", f"Height in hand, {units.height.unit}"
    hand = attempt.height_in_hand
    inside = None if hand is None else _inside(hand, span_s)
    if hand is None or inside is None or not np.any(inside):
        sentence = "Height in hand is not known for this flight."
        return axes.nothing_to_show(name, words, sentence, size_px).svg(theme)
    zero = flown_board.zero_time_s(attempt)
    time_s, unit = hand.time_s[inside], units.height.unit_si
    value, sd = hand.in_hand_m[inside] / unit, hand.sd_m[inside] / unit
    low, high = value - BAND_SD * sd, value + BAND_SD * sd
    range_up = axes.rounded_out(min(float(np.nanmin(low)), 0.0), max(float(np.nanmax(high)), 0.0), 5)
    frame = _frame(size_px, (float(time_s[0]) - zero, float(time_s[-1]) - zero), range_up)
    placer = Placer(_whole(size_px), [])
    band = [*_broken(frame, time_s - zero, low), *_broken(frame, time_s - zero, high)]
    line = _points(frame, time_s - zero, value)
    zero_line = [frame.at(frame.across.low, 0.0), frame.at(frame.across.high, 0.0)]
    placer.clear_of = np.concatenate([board.resampled(part) for part in (line, zero_line, *band)])
    named = _band_name(frame, placer, band)
    marked = _mark(marked_time_s, mark_words, attempt, frame, placer)
    lines = [svg.polyline(part, Colour.SOFT, tokens.CONSTRUCTION_PX, dash=DOTTED, class_="band") for part in band]
    return Drawing(
        name=name,
        width_px=size_px[0],
        height_px=size_px[1],
        title=words,
        description=_in_hand_words(hand, zero, units),
        parts=(
            axes.title(words),
            *axes.grid(frame, axes.ticks(*range_up, 5)),
            *axes.axis_times(frame, axes.ticks(frame.across.low, frame.across.high, 4)),
            *lines,
            *marked,
            *_in_hand_line(attempt, hand, frame, zero, units),
            *named,
        ),
        data=_time_axis(name, attempt, frame),
    ).svg(theme)


def flown_against_plan_chart(
    attempt: Attempt,
    *,
    size_px: tuple[float, float] = CHART_PX,
    units: Units = IMPERIAL,
    theme: Theme = Theme.PAGE,
    between: tuple[GateName, GateName] | None = None,
) -> str:
    """Height flown less height planned, against time, as SVG.

    Flown and planned are compared at the same part of the way over the ground from one gate to the next; `between`
    shows a part of the flight.
    """
    name, words = "flown-against-plan", f"Flown against plan, {units.height.unit}"
    found = _against_plan(attempt, between)
    if found is None:
        sentence = "Fewer than two gates were flown: there is nothing to compare."
        return axes.nothing_to_show(name, words, sentence, size_px).svg(theme)
    time_s, difference_m, gates = found
    zero = flown_board.zero_time_s(attempt)
    value = difference_m / units.height.unit_si
    range_up = _with_room(min(float(value.min()), 0.0), max(float(value.max()), 0.0))
    frame = _frame(size_px, (float(time_s[0]) - zero, float(time_s[-1]) - zero), range_up)
    line = _points(frame, time_s - zero, value)
    placer = Placer(_whole(size_px), board.resampled(line))
    marks: list[Element] = []
    for gate, at_s in gates:
        at = frame.at(at_s - zero, float(np.interp(at_s, time_s, value)))
        on_zero = (at[0], frame.up.px(0.0))
        placer.take(Box(at[0], at[1], at[0], at[1]).grown(4.0))
        placer.take(Box(on_zero[0], on_zero[1], on_zero[0], on_zero[1]).grown(6.0))
        marks.append(svg.group(ink.gate_circle(on_zero, is_behind=True), ink.flown_dot(at), data={"gate": str(gate)}))
    labels: list[Element] = []
    for _, at_s in gates:
        labels += _difference_label(frame, placer, at_s - zero, float(np.interp(at_s, time_s, value)))
    names = [(str(gate), frame.across.px(at_s - zero)) for gate, at_s in gates]
    return Drawing(
        name=name,
        width_px=size_px[0],
        height_px=size_px[1],
        title=words,
        description=_against_words(gates, time_s, value, units),
        parts=(
            axes.title(words),
            *axes.grid(frame, axes.ticks(*range_up, 4)),
            *_plan_name(frame, placer),
            svg.polyline(ink.thinned(line), Colour.INK, 2.25, class_="flown right"),
            *marks,
            *labels,
            *_names_below(names, frame, size_px),
        ),
        data=_time_axis(name, attempt, frame),
    ).svg(theme)


def glide_by_phase_chart(
    attempt: Attempt,
    *,
    size_px: tuple[float, float] = CHART_PX,
    units: Units = IMPERIAL,
    theme: Theme = Theme.PAGE,
) -> str:
    """Glide ratio through the air by phase, each with its 90 % whisker, against the airplane's best, as SVG."""
    name, words = "glide-by-phase", "Glide through the air, to 1"
    phases = () if attempt.glide is None else attempt.glide.by_phase
    if not phases:
        sentence = "The glide through the air is not known for this flight."
        return axes.nothing_to_show(name, words, sentence, size_px).svg(theme)
    best = attempt.plan.exercise.airplane.glide.best_ratio
    low = min(min(phase.ratio - BAND_SD * phase.ratio_sd for phase in phases), best)
    high = max(max(phase.ratio + BAND_SD * phase.ratio_sd for phase in phases), best)
    low, high = axes.rounded_out(max(low, 0.0), high, 5)
    left = max(FIGURE.width_px(_phase_name(phase)) for phase in phases) + 16.0
    right = size_px[0] - FIGURE.width_px("10.4") - 12.0
    area = Box(left, 44.0, right, size_px[1] - _FOOT_PX)
    frame = Plot(
        area,
        axes.Scale(low, high, area.left, area.right),
        axes.Scale(float(len(phases)), 0.0, area.bottom, area.top),
    )
    parts: list[Element] = [axes.title(words)]
    decimals = 0 if axes.step_for(high - low, 5) >= 1.0 else 1
    for tick in axes.ticks(low, high, 5):
        across = frame.across.px(tick)
        parts.append(svg.line((across, area.top), (across, area.bottom), Colour.GRID, tokens.RULE_PX))
        parts.append(svg.text((across, area.bottom + 18.0), wording.figure(tick, decimals), NOTE, anchor="middle"))
    at_best = frame.across.px(best)
    parts.append(svg.line((at_best, area.top - 4.0), (at_best, area.bottom), Colour.INK, tokens.FURNITURE_PX))
    said = f"best glide {wording.figure(best, 1)}"
    half = NOTE.width_px(said) / 2.0
    parts.append(svg.text((min(max(at_best, half), size_px[0] - half), area.top - 9.0), said, NOTE, anchor="middle"))
    for number, phase in enumerate(phases):
        parts += _phase_row(phase, frame, frame.up.px(number + 0.5), size_px)
    description = ". ".join(f"{phase.phase} {wording.ratio(phase.ratio)}" for phase in phases)
    return Drawing(name, *size_px, words, description, tuple(parts), {"figure": name}).svg(theme)


def _frame(size_px: tuple[float, float], across: tuple[float, float], up: tuple[float, float]) -> Plot:
    return axes.plot(Box(_LEFT_PX, _TOP_PX, size_px[0] - 6.0, size_px[1] - _FOOT_PX), across, up)


def _with_room(low: float, high: float) -> tuple[float, float]:
    """A range with room for labels beyond its extremes."""
    extent = max(high - low, 10.0)
    return low - 0.25 * extent, high + 0.25 * extent


def _whole(size_px: tuple[float, float]) -> Box:
    return Box(_LEFT_PX, 16.0, size_px[0], size_px[1] - _FOOT_PX + 4.0)


def _time_axis(name: str, attempt: Attempt, frame: Plot) -> dict[str, Value]:
    """What a page needs to put its cursor at a second: px of the high key, px a second, edges of the plot."""
    return {
        "figure": name,
        "px-per-s": f"{frame.across.px_a_unit:.6f}",
        "origin-x": frame.across.px(0.0),
        **flown_board.time_data(attempt),
        **frame.data(),
    }


def _inside(hand: HeightInHand, span_s: tuple[float, float] | None) -> NDArray[np.bool_]:
    """Which samples to show: known ones, from the first to the last, within the span."""
    known = np.flatnonzero(np.isfinite(hand.in_hand_m) & np.isfinite(hand.sd_m))
    shown = np.zeros(hand.time_s.shape, dtype=bool)
    if known.size:
        shown[known[0] : known[-1] + 1] = True
    if span_s is not None:
        shown = shown & (hand.time_s >= span_s[0]) & (hand.time_s <= span_s[1])
    return shown if np.any(shown & np.isfinite(hand.in_hand_m)) else np.zeros_like(shown)


def _points(frame: Plot, across: Array, up: Array) -> list[Point]:
    return [frame.at(float(x), float(y)) for x, y in zip(across, up, strict=True) if math.isfinite(y)]


def _broken(frame: Plot, across: Array, up: Array) -> list[list[Point]]:
    """A line broken where its value is not known."""
    parts: list[list[Point]] = [[]]
    for x, y in zip(across, up, strict=True):
        if math.isfinite(y):
            parts[-1].append(frame.at(float(x), float(y)))
        elif parts[-1]:
            parts.append([])
    return [part for part in parts if len(part) > 1]


def _in_hand_line(attempt: Attempt, hand: HeightInHand, frame: Plot, zero: float, units: Units) -> list[Element]:
    """The line in the styles of the path, so that board and chart read the same."""
    parts: list[Element] = []
    first, last = frame.across.low + zero, frame.across.high + zero
    for run in flown_board.runs(attempt, 0.1):
        time_s = run.time_s[(run.time_s >= first) & (run.time_s <= last)]
        value = np.interp(time_s, hand.time_s, hand.in_hand_m) / units.height.unit_si
        points = _points(frame, time_s - zero, value)
        if len(points) > 1 and run.style is not ink.PathStyle.UNKNOWN:
            parts += ink.styled_line(ink.thinned(points), run.style)
    return parts


def _band_name(frame: Plot, placer: Placer, band: Sequence[Sequence[Point]]) -> list[Element]:
    label = single("90\u00a0% band", NOTE, "end")
    options = []
    for part in reversed(band):
        for back in (0.04, 0.15, 0.3, 0.5, 0.7):
            at = part[int((1.0 - back) * (len(part) - 1))]
            options += [Candidate(label, (at[0], at[1] + down)) for down in (17.0, -8.0)]
    found = placer.place(options)
    return [] if found is None else found.label.drawn(found.at)


def _mark(time_s: float | None, words: str, attempt: Attempt, frame: Plot, placer: Placer) -> list[Element]:
    if time_s is None:
        return []
    across = frame.across.px(time_s - flown_board.zero_time_s(attempt))
    if not frame.area.left <= across <= frame.area.right:
        return []
    parts = [axes.drop_line(across, frame.area.top - 2.0, frame.area.bottom)]
    if words:
        options = [
            Candidate(single(words, NOTE, anchor), (across + side, frame.area.top + down))
            for down in (8.0, 24.0, 40.0)
            for anchor, side in (("start", 6.0), ("end", -6.0))
        ]
        found = placer.place(options) or placer.place(options, over_lines=True)
        parts += [] if found is None else found.label.drawn(found.at)
    return parts


def _against_plan(
    attempt: Attempt, between: tuple[GateName, GateName] | None
) -> tuple[Array, Array, list[tuple[GateName, float]]] | None:
    """Times, flown less planned height at them, and the gates; None with fewer than two gates to compare."""
    order = list(GateName)
    pairs = [(gate, planned) for gate in attempt.gates if (planned := attempt.plan.gate(gate.name)) is not None]
    if between is not None:
        first, last = order.index(between[0]), order.index(between[1])
        pairs = [pair for pair in pairs if first <= order.index(pair[0].name) <= last]
    if len(pairs) < 2:
        return None
    flown, wished = attempt.path, attempt.plan.path
    flown_along = _along(flown.x_m, flown.y_m)
    planned_along = _along(wished.x_m, wished.y_m)
    flown_at = np.array([np.interp(gate.time_s, flown.time_s, flown_along) for gate, _ in pairs])
    planned_at = np.array([np.interp(gate.time_s, wished.time_s, planned_along) for _, gate in pairs])
    inside = (flown.time_s > pairs[0][0].time_s) & (flown.time_s < pairs[-1][0].time_s)
    time_s = np.unique(np.concatenate((flown.time_s[inside], [gate.time_s for gate, _ in pairs])))
    way = np.interp(np.interp(time_s, flown.time_s, flown_along), flown_at, planned_at)
    wished_m = np.interp(way, planned_along, wished.height_m)
    return time_s, np.interp(time_s, flown.time_s, flown.height_m) - wished_m, [(g.name, g.time_s) for g, _ in pairs]


def _along(x_m: Array, y_m: Array) -> Array:
    return np.concatenate(([0.0], np.cumsum(np.hypot(np.diff(x_m), np.diff(y_m)))))


def _difference_label(frame: Plot, placer: Placer, at_s: float, value: float) -> list[Element]:
    amount = wording.figure(abs(value))
    words = "as planned" if amount == "0" else f"{amount} {'low' if value < 0 else 'high'}"
    at = frame.at(at_s, value)
    options = [
        Candidate(single(words, FIGURE, anchor), (at[0] + across, at[1] + down))
        for down in (-12.0, 20.0, -24.0, 32.0)
        for anchor, across in (("middle", 0.0), ("start", 4.0), ("end", 6.0), ("end", -4.0))
    ]
    found = placer.place(options) or placer.place(options, over_lines=True)
    return [] if found is None else found.label.drawn(found.at)


def _plan_name(frame: Plot, placer: Placer) -> list[Element]:
    middle, zero = (frame.area.left + frame.area.right) / 2.0, frame.up.px(0.0)
    label = single("plan", NOTE, "middle")
    found = placer.place(
        [Candidate(label, (middle + across, zero - 6.0)) for across in (0.0, 40.0, -40.0, 80.0, -80.0)]
    )
    return [] if found is None else found.label.drawn(found.at)


def _names_below(names: Sequence[tuple[str, float]], frame: Plot, size_px: tuple[float, float]) -> list[Element]:
    placer = Placer(Box(0.0, 0.0, size_px[0], size_px[1] + 1.0))
    parts: list[Element] = []
    for name, across in [*names[:1], *names[:0:-1]]:
        options = [
            Candidate(single(name, NOTE, anchor), (across + slide, frame.area.bottom + 20.0))
            for slide in (0.0, -14.0, 14.0, 6.0)
            for anchor in ("middle", "start", "end")
        ]
        found = placer.place(options)
        if found is not None:
            parts += found.label.drawn(found.at)
    return parts


def _phase_name(phase: PhaseGlide) -> str:
    return phase.phase


def _phase_row(phase: PhaseGlide, frame: Plot, down: float, size_px: tuple[float, float]) -> list[Element]:
    half = BAND_SD * phase.ratio_sd
    low, high = frame.across.px(phase.ratio - half), frame.across.px(phase.ratio + half)
    low = max(low, frame.area.left)
    whisker = [svg.line((low, down), (high, down), Colour.INK, tokens.FURNITURE_PX)]
    whisker += [svg.line((end, down - 4.0), (end, down + 4.0), Colour.INK, tokens.FURNITURE_PX) for end in (low, high)]
    return [
        svg.text((0.0, down + 4.5), _phase_name(phase), FIGURE),
        *whisker,
        ink.flown_dot((frame.across.px(phase.ratio), down)),
        svg.text((size_px[0], down + 4.5), wording.figure(phase.ratio, 1), FIGURE, anchor="end"),
    ]


def _in_hand_words(hand: HeightInHand, zero: float, units: Units) -> str:
    least = units.rounded_height(hand.minimum_m)
    said = f"Least height in hand {least}, {wording.seconds(hand.minimum_time_s - zero)} after the high key."
    if hand.first_negative_time_s is not None:
        said += f" First below zero at {wording.seconds(hand.first_negative_time_s - zero)}."
    return said


def _against_words(gates: Sequence[tuple[GateName, float]], time_s: Array, value: Array, units: Units) -> str:
    parts = []
    for gate, at_s in gates:
        difference = float(np.interp(at_s, time_s, value))
        amount = wording.with_unit(wording.figure(abs(difference)), units.height.unit)
        parts.append(f"{gate}: {amount} {'low' if difference < 0 else 'high'}")
    return ". ".join(parts)
