"""The two small drawings of the card: the board with gates, wind and offset only, and the height profile."""

from __future__ import annotations

import numpy as np

from volplane.domain.exercise.exercise import GateName
from volplane.domain.exercise.plan import Plan
from volplane.faces.documents.wording import Units
from volplane.faces.report import axes, board, board_notes, ink, plan_board, svg, tokens
from volplane.faces.report.board import RunwayOutline, WindBlock, WindLevel
from volplane.faces.report.boxes import Box, Candidate, Placer, single
from volplane.faces.report.card_words import abeam_words
from volplane.faces.report.fitting import Fit, Subject, fitted
from volplane.faces.report.heights import path_length_m
from volplane.faces.report.lettering import Lettering
from volplane.faces.report.svg import Drawing, Element
from volplane.faces.report.tokens import Colour, Theme

BOARD_PX = (226.0, 206.0)
PROFILE_PX = (226.0, 58.0)
LARGE_BOARD_PX = (292.0, 262.0)
LARGE_PROFILE_PX = (292.0, 66.0)
_NAME = Lettering(12.0, tokens.SEMIBOLD)
_FIGURE = Lettering(11.0)
_SHORT_NAMES = {
    GateName.HIGH_KEY: "High",
    GateName.LOW_KEY: "Low",
    GateName.BASE_KEY: "Base",
    GateName.FINAL: "Final",
}


def card_board(plan: Plan, units: Units, size_px: tuple[float, float] = BOARD_PX) -> str:
    """The whiteboard in small, in print."""
    subject = _subject(plan, units)
    fit = fitted(subject, size_px)
    frame, outline = fit.frame, subject.outline
    placer = fit.placer(subject, size_px)
    corners = board_notes.Corners(placer, plan.exercise.pattern, size_px)
    wind = corners.wind(subject.wind)
    number = board_notes.runway_number(placer, frame, outline, plan.exercise.pattern)
    parts = (
        *board.centreline(frame, outline, float(plan.path.x_m.min()), outline.end_x_m),
        *_offset(plan, fit, placer, units),
        svg.polyline(ink.thinned(frame.points(plan.path.x_m, plan.path.y_m)), Colour.INK, tokens.PATH_PX),
        *plan_board.arrowheads(plan, frame, 56.0),
        *board.runway(frame, outline),
        board.touchdown_bar(frame),
        *(ink.gate_circle(point) for point in fit.points.values()),
        *(part for label in fit.labels.values() for part in label.label.drawn(label.at)),
        *wind,
        *number,
    )
    title = f"Whiteboard: runway {outline.name}, {plan.exercise.pattern} pattern"
    return Drawing("card-board", *size_px, title, plan_board.description(plan, units), parts, {}).svg(Theme.PRINT)


def card_profile(plan: Plan, size_px: tuple[float, float] = PROFILE_PX) -> str:
    """Height along the path without figures, in print."""
    along = path_length_m(plan)
    top = max(float(plan.path.height_m.max()), 1.0)
    area = Box(8.0, 8.0, size_px[0] - 2.0, size_px[1] - 3.0)
    frame = axes.plot(area, (0.0, float(along[-1])), (0.0, top))
    line = [frame.at(float(x), float(y)) for x, y in zip(along, plan.path.height_m, strict=True)]
    points = [
        frame.at(float(np.interp(gate.time_s, plan.path.time_s, along)), max(gate.height_m, 0.0)) for gate in plan.gates
    ]
    parts: list[Element] = [
        svg.line((0.0, area.bottom), (size_px[0], area.bottom), Colour.INK, tokens.FURNITURE_PX),
        *(axes.drop_line(x, y, area.bottom) for x, y in points),
        svg.polyline(ink.thinned(line), Colour.INK, tokens.PATH_PX),
        svg.line((line[-1][0] - 7.0, area.bottom), (line[-1][0], area.bottom), Colour.INK, tokens.TOUCHDOWN_PX),
        *(ink.gate_circle(point) for point in points),
    ]
    words = "Height along the path"
    return Drawing("card-profile", *size_px, words, words, tuple(parts), {}).svg(Theme.PRINT)


def _subject(plan: Plan, units: Units) -> Subject:
    levels = [WindLevel(level.x_mps, level.y_mps, ("", "")) for level in board.planned_levels(plan.exercise, units)[:1]]
    return Subject(
        outline=RunwayOutline.of(plan.exercise),
        paths=[(plan.path.x_m, plan.path.y_m)],
        gates={gate.name: (gate.x_m, gate.y_m) for gate in plan.gates},
        lines={gate.name: ((_SHORT_NAMES[gate.name], _NAME),) for gate in plan.gates},
        pattern=plan.exercise.pattern,
        wind=WindBlock("Wind", levels),
        air_px=5.0,
    )


def _offset(plan: Plan, fit: Fit, placer: Placer, units: Units) -> list[Element]:
    """The distance abeam, to a quarter of a mile."""
    gate = plan.gate(GateName.LOW_KEY)
    if gate is None:
        return []
    at, zero = fit.points[gate.name], fit.frame.px(gate.x_m, 0.0)
    towards = 1.0 if zero[0] > at[0] else -1.0
    start, end = (at[0] + towards * 9.0, at[1]), (zero[0] - towards * 13.0, at[1])
    label = single(abeam_words(gate, units), _FIGURE, "middle")
    middle = (start[0] + end[0]) / 2.0
    found = placer.place([Candidate(label, (middle, at[1] + down)) for down in (-5.0, 14.0)])
    line = svg.line(start, end, Colour.INK, tokens.CONSTRUCTION_PX)
    return [line] if found is None else [line, *found.label.drawn(found.at)]
