"""What is written on a board beside the gates: dimensions, edges, pen notes, and what stands in the corners."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from volplane.domain.exercise.exercise import GateName
from volplane.domain.exercise.plan import Plan, TurnSummary
from volplane.domain.geometry.airfield import Side
from volplane.faces.documents import wording
from volplane.faces.documents.wording import Units
from volplane.faces.report import axes, board, fitting, ink, lettering, svg, tokens
from volplane.faces.report.board import Frame, RunwayOutline, WindBlock
from volplane.faces.report.boxes import Box, Candidate, Label, Line, Placer, single
from volplane.faces.report.lettering import Lettering
from volplane.faces.report.svg import Element, Point
from volplane.faces.report.tokens import Colour

_EDGE_WORDS = Lettering(tokens.TABLE_PX, colour=Colour.ORANGE1)
_EDGE_NOTE = Lettering(tokens.NOTE_PX, colour=Colour.ORANGE1)
_SHORTEST_DIMENSION_PX = 56.0
_ALTIMETER_NOTE = ("Large: altimeter today. Under it:", "lowest and highest that still work")


@dataclass(frozen=True, slots=True)
class Notes:
    """What was found a place for, in drawing order."""

    dimensions: tuple[Element, ...]
    edges: tuple[Element, ...]
    words: tuple[Element, ...]


def runway_number(placer: Placer, frame: Frame, outline: RunwayOutline, pattern: Side) -> list[Element]:
    """The runway's number beside its threshold, outside the pattern first."""
    half = board.half_width_px(frame)
    across, down = frame.px(outline.threshold_x_m, 0.0)
    outside = 1.0 if pattern is Side.LEFT else -1.0
    options = [
        Candidate(single(outline.name, lettering.NAME, "start" if side > 0 else "end"), (x, down + slide))
        for side in (outside, -outside)
        for x in (across + side * (half + 7.0),)
        for slide in (4.0, -8.0, 14.0)
    ]
    found = placer.place(options)
    return [] if found is None else found.label.drawn(found.at)


@dataclass(slots=True)
class Corners:
    """Places things in the corners of a board."""

    placer: Placer
    pattern: Side
    size_px: tuple[float, float]

    def wind(self, block: WindBlock) -> list[Element]:
        """The wind in the first corner that is free, else in the first one."""
        corners = fitting.corner_boxes(block.size_px(), self.pattern, self.size_px)
        free = fitting.free_corners(self.placer, block, self.pattern, self.size_px)
        corner = corners[free[0]] if free else corners[0]
        for box in block.boxes(corner.left, corner.top):
            self.placer.take(box)
        return [block.drawn(corner.left, corner.top)]

    def scale(self, length_px: float, label: Label) -> list[Element]:
        """The scale bar in a lower corner, the pattern side first."""
        down = self.size_px[1] - 8.0
        near, far = 1.0, self.size_px[0] - length_px - 1.0
        for left in (near, far) if self.pattern is Side.LEFT else (far, near):
            box = Box(left, down - 20.0, left + length_px, down + 5.0)
            if self.placer.is_free(box):
                self.placer.take(box)
                return [board.drawn_scale_bar(left, down, length_px, label)]
        return []

    def reading_note(self) -> list[Element]:
        """What the large figures are, in a lower corner away from the pattern."""
        down = self.size_px[1] - 22.0
        sides = ((self.size_px[0] - 4.0, "end"), (4.0, "start"))
        lines = [
            (
                Label(
                    tuple(
                        Line(words, lettering.NOTE, 0.0, 16.0 * row, anchor)
                        for row, words in enumerate(_ALTIMETER_NOTE)
                    )
                ),
                x,
            )
            for x, anchor in (sides if self.pattern is Side.LEFT else reversed(sides))
        ]
        found = self.placer.place([Candidate(label, (x, down)) for label, x in lines])
        return [] if found is None else [svg.group(*found.label.drawn(found.at), class_="reading-note")]


def binding(placer: Placer, end: Point, words: str) -> list[Element]:
    """The binding limit in words, near the end of a path that fails."""
    lines = axes.wrapped(words, _EDGE_WORDS, 190.0)
    options = []
    for anchor, across in (("start", 16.0), ("end", -16.0)):
        label = Label(tuple(Line(line, _EDGE_WORDS, 0.0, 17.0 * row, anchor) for row, line in enumerate(lines)))
        options += [Candidate(label, (end[0] + across, end[1] + down)) for down in (4.0, 30.0, -30.0, 70.0, -70.0)]
    found = placer.place_surely(options)
    return [svg.group(*found.label.drawn(found.at), class_="binding")]


def notes(plan: Plan, frame: Frame, placer: Placer, units: Units) -> Notes:
    """Dimensions first, then edge words, then the touchdown point's name, then pen notes."""
    dimensions: list[Element] = []
    words: list[Element] = []
    for lines, label in (
        *_offset_dimension(plan, frame, placer, units),
        *_downwind_dimension(plan, frame, placer, units),
    ):
        dimensions += lines
        words += label
    edges, edge_words = _turn_edge(plan, frame, placer, units)
    words += edge_words
    words += _touchdown_name(plan, frame, placer)
    words += _pen_notes(plan, frame, placer)
    return Notes(tuple(dimensions), tuple(edges), tuple(words))


Placed = tuple[list[Element], list[Element]]


def _offset_dimension(plan: Plan, frame: Frame, placer: Placer, units: Units) -> list[Placed]:
    """From the runway to the low key, and on the other side to the high key."""
    placed: list[Placed] = []
    bar = board.half_width_px(frame) + tokens.TOUCHDOWN_OVERHANG_PX + 4.0
    for name in (GateName.LOW_KEY, GateName.HIGH_KEY):
        gate = plan.gate(name)
        if gate is None:
            continue
        at, zero = frame.px(gate.x_m, gate.y_m), frame.px(gate.x_m, 0.0)
        towards = 1.0 if zero[0] > at[0] else -1.0
        start, end = (at[0] + towards * 10.0, at[1]), (zero[0] - towards * bar, at[1])
        length = abs(end[0] - start[0])
        offset_m = abs(gate.y_m)
        short = units.distance.text(offset_m)
        if name is GateName.HIGH_KEY:
            short = wording.with_unit(wording.figure(units.distance.value(offset_m), 1), units.distance.unit)
        long = f"{short}, {wording.with_unit(_rounded(units, offset_m, 50.0), units.length.unit)}"
        is_main = name is GateName.LOW_KEY
        room = [text for text in (long, short) if lettering.NOTE.width_px(text) < length - 4.0]
        if (is_main and length < _SHORTEST_DIMENSION_PX) or not room:
            continue
        options = [
            Candidate(_centred(text), ((start[0] + end[0]) / 2.0, at[1] + down))
            for text in (room if is_main else [short])
            for down in (-6.0, 16.0)
        ]
        found = placer.place(options)
        if found is not None:
            lines = ink.dimension(start, end, has_heads=is_main)
            placed.append((lines, found.label.drawn(found.at)))
    return placed


def _downwind_dimension(plan: Plan, frame: Frame, placer: Placer, units: Units) -> list[Placed]:
    """Along the downwind leg from abeam to where the turn to base begins, with the seconds it takes."""
    low = plan.gate(GateName.LOW_KEY)
    if low is None:
        return []
    inward = -1.0 if plan.exercise.pattern is Side.RIGHT else 1.0
    at, turn = frame.px(low.x_m, low.y_m), frame.px(-plan.legs.downwind_m, low.y_m)
    across = at[0] + inward * 26.0
    start, end = (across, at[1] + 10.0), (across, turn[1])
    if end[1] - start[1] < _SHORTEST_DIMENSION_PX:
        return []
    anchor = "start" if inward > 0 else "end"
    length = wording.with_unit(_rounded(units, plan.legs.downwind_m, 50.0), units.length.unit)
    label = Label(
        (
            Line(length, lettering.NOTE, inward * 9.0, -2.0, anchor),
            Line(wording.seconds(plan.legs.downwind_time_s), lettering.NOTE, inward * 9.0, 14.0, anchor),
        )
    )
    middle = (start[1] + end[1]) / 2.0
    found = placer.place([Candidate(label, (across, middle + slide)) for slide in (0.0, -20.0, 20.0)])
    if found is None:
        return []
    foot = svg.line(
        (across - inward * 20.0, end[1]), (across + inward * 6.0, end[1]), Colour.SOFT, tokens.CONSTRUCTION_PX
    )
    return [([*ink.dimension(start, end), foot], found.label.drawn(found.at))]


def _turn_edge(plan: Plan, frame: Frame, placer: Placer, units: Units) -> Placed:
    """Where the turn to base must have begun: an edge across the downwind leg, teeth on the far side, and its words."""
    low, latest_m = plan.gate(GateName.LOW_KEY), plan.legs.turn_no_later_x_m
    if low is None or latest_m is None or latest_m > 0.0:
        return [], []
    inward = -1.0 if plan.exercise.pattern is Side.RIGHT else 1.0
    across, down = frame.px(latest_m, low.y_m)
    reserve = wording.with_unit(_rounded(units, -latest_m, 50.0), units.length.unit)
    anchor = "start" if inward > 0 else "end"
    label = Label(
        (
            Line("turn no later", _EDGE_WORDS, 0.0, 1.0, anchor),
            Line(f"{reserve}: reserve gone", _EDGE_NOTE, 0.0, 17.0, anchor),
        )
    )
    at = (across + inward * 32.0, down)
    found = placer.place([Candidate(label, (at[0], at[1] + slide)) for slide in (0.0, 14.0, -18.0, 30.0)])
    if found is None:
        return [], []
    # looking from start to end the teeth are on the right: from left to right that is down the page, farther out
    edge = ink.toothed_edge((across - 26.0, down), (across + 26.0, down))
    return edge, found.label.drawn(found.at)


def _touchdown_name(plan: Plan, frame: Frame, placer: Placer) -> list[Element]:
    inward = 1.0 if plan.exercise.pattern is Side.RIGHT else -1.0
    across, down = frame.px(0.0, 0.0)
    at = across + inward * (board.half_width_px(frame) + 9.0)
    label = Label((Line("touchdown point", lettering.NOTE, anchor="start" if inward > 0 else "end"),))
    found = placer.place([Candidate(label, (at, down + 18.0)), Candidate(label, (at, down + 30.0))])
    return [] if found is None else found.label.drawn(found.at)


def _pen_notes(plan: Plan, frame: Frame, placer: Placer) -> list[Element]:
    """What the two turns are, in the middle of each."""
    parts: list[Element] = []
    gates = (plan.gate(GateName.HIGH_KEY), plan.gate(GateName.LOW_KEY), plan.gate(GateName.FINAL))
    high, low, final = gates
    if high is None or low is None:
        return parts
    turns = [(_half_turn_words(plan.legs.first_turn), high.time_s, low.time_s, True)]
    if final is not None:
        turns.append((_base_turn_words(plan.legs.base_turn), low.time_s, final.time_s, False))
    for lines, start_s, end_s, is_upper in turns:
        inside = (plan.path.time_s >= start_s) & (plan.path.time_s <= end_s)
        x_m, y_m = plan.path.x_m[inside], plan.path.y_m[inside]
        if x_m.size == 0:
            continue
        extreme = float(np.max(x_m)) if is_upper else float(np.min(x_m))
        middle = frame.px(extreme, float((y_m.min() + y_m.max()) / 2.0))
        label = Label(
            tuple(
                Line(words, lettering.PEN if row == 0 else lettering.NOTE, 0.0, 18.0 * row, "middle")
                for row, words in enumerate(lines)
            )
        )
        downs = (62.0, 50.0, 76.0, 40.0, 92.0) if is_upper else (-50.0, -40.0, -62.0, -34.0, -76.0)
        shifts = (0.0, -14.0, 14.0, -28.0, 28.0)
        options = [Candidate(label, (middle[0] + across, middle[1] + down)) for down in downs for across in shifts]
        found = placer.place(options)
        if found is not None:
            parts += found.label.drawn(found.at)
    return parts


def _half_turn_words(turn: TurnSummary) -> Sequence[str]:
    return _turn_words("half turn", turn, " on average")


def _base_turn_words(turn: TurnSummary) -> Sequence[str]:
    return _turn_words("turn to base", turn, "")


def _turn_words(name: str, turn: TurnSummary, kind: str) -> Sequence[str]:
    mean, least, greatest = (
        wording.angle(bank) for bank in (turn.mean_bank_rad, turn.least_bank_rad, turn.greatest_bank_rad)
    )
    if least == greatest:
        return (f"{name}, {mean}",)
    return f"{name}, {mean}{kind}", f"{least} to {greatest}"


def _centred(words: str) -> Label:
    return Label((Line(words, lettering.NOTE, anchor="middle"),))


def _rounded(units: Units, length_m: float, step: float) -> str:
    return wording.figure(wording.rounded(units.length.value(length_m), step))
