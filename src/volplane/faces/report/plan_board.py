"""The whiteboard of a plan: runway up, path as ink, gates with altimeter readings, what to turn at, the wind.

Labels take places by importance; what finds no place without touching another label is left out, gates never.
"""

from __future__ import annotations

import itertools

import numpy as np

from volplane.domain.exercise.exercise import GateName
from volplane.domain.exercise.plan import Plan
from volplane.faces.documents.wording import IMPERIAL, Units
from volplane.faces.report import board, board_notes, gate_labels, ink, svg, tokens
from volplane.faces.report.board import Frame, RunwayOutline, WindBlock
from volplane.faces.report.fitting import Fit, Subject, fitted, held
from volplane.faces.report.svg import Drawing, Element, Point
from volplane.faces.report.tokens import Colour, Theme

WHITEBOARD_PX = (560.0, 572.0)


def whiteboard(
    plan: Plan,
    *,
    size_px: tuple[float, float] = WHITEBOARD_PX,
    units: Units = IMPERIAL,
    theme: Theme = Theme.PAGE,
    binding_words: str | None = None,
    held_in: Frame | None = None,
) -> str:
    """The whiteboard of a plan as SVG; an infeasible one is dashed where it comes nearest, with the binding limit.

    `held_in` keeps the frame of an earlier drawing, so that nothing jumps while a gate is dragged.
    """
    return drawing(plan, size_px, units, binding_words, held_in).svg(theme)


def subject_of(plan: Plan, units: Units) -> Subject:
    """What the board of a plan must hold."""
    return Subject(
        outline=RunwayOutline.of(plan.exercise),
        paths=[(plan.path.x_m, plan.path.y_m)],
        gates={gate.name: (gate.x_m, gate.y_m) for gate in plan.gates},
        lines={gate.name: gate_labels.planned_lines(gate, plan.exercise, units) for gate in plan.gates},
        pattern=plan.exercise.pattern,
        wind=WindBlock("Wind", board.planned_levels(plan.exercise, units)),
    )


def drawing(
    plan: Plan,
    size_px: tuple[float, float],
    units: Units,
    binding_words: str | None = None,
    held_in: Frame | None = None,
) -> Drawing:
    """The whiteboard as a drawing without a theme."""
    subject = subject_of(plan, units)
    fit = fitted(subject, size_px) if held_in is None else held(subject, held_in)
    frame, outline, pattern = fit.frame, subject.outline, subject.pattern
    placer = fit.placer(subject, size_px)
    corners = board_notes.Corners(placer, pattern, size_px)
    wind = corners.wind(subject.wind)
    number = board_notes.runway_number(placer, frame, outline, pattern)
    scale = corners.scale(*board.scale_bar(frame, units))
    notes = board_notes.notes(plan, frame, placer, units) if plan.feasible else board_notes.Notes((), (), ())
    words = binding_words or "not possible as wished"
    binding = (
        []
        if plan.feasible
        else board_notes.binding(placer, frame.px(float(plan.path.x_m[-1]), float(plan.path.y_m[-1])), words)
    )
    return Drawing(
        name="whiteboard",
        width_px=size_px[0],
        height_px=size_px[1],
        title=f"Whiteboard: runway {outline.name}, {pattern} pattern",
        description=description(plan, units),
        parts=(
            *board.centreline(frame, outline, float(plan.path.x_m.min()), float(plan.path.x_m.max())),
            *notes.dimensions,
            *notes.edges,
            *_path_parts(plan, frame),
            *board.runway(frame, outline),
            *_final_over_runway(plan, frame),
            board.touchdown_bar(frame),
            *_gates(plan, fit),
            *wind,
            *scale,
            *number,
            *notes.words,
            *binding,
            *corners.reading_note(),
        ),
        data={"figure": "whiteboard", "pattern": str(pattern), **frame.data()},
    )


def description(plan: Plan, units: Units) -> str:
    """What the board says, for who cannot see it."""
    gates = ", ".join(f"{gate.name} {units.altimeter_text(gate.altimeter_msl_m)}" for gate in plan.gates)
    wish = plan.exercise
    return (
        f"Landing direction up, runway {wish.runway.name}, {wish.pattern} pattern. Altimeter readings today: {gates}."
    )


def _path_parts(plan: Plan, frame: Frame) -> list[Element]:
    thin = ink.thinned(frame.points(plan.path.x_m, plan.path.y_m))
    if not plan.feasible:
        return [svg.polyline(thin, Colour.ORANGE1, tokens.PATH_PX, dash="9 3.5", class_="path infeasible")]
    return [svg.polyline(thin, Colour.INK, tokens.PATH_PX, class_="path planned"), *arrowheads(plan, frame)]


def arrowheads(plan: Plan, frame: Frame, least_px: float = 44.0) -> list[Element]:
    """Three to five arrowheads in mid leg, none at gates."""
    parts: list[Element] = []
    for leg, fractions in _legs(plan, frame):
        length = sum(float(np.hypot(b[0] - a[0], b[1] - a[1])) for a, b in itertools.pairwise(leg))
        if length > least_px:
            parts += ink.heads_along(leg, fractions if length > 200.0 else fractions[:1])
    return parts


def _legs(plan: Plan, frame: Frame) -> list[tuple[list[Point], tuple[float, ...]]]:
    """The path from gate to gate with the places of its arrowheads."""
    path = plan.path
    times = [gate.time_s for gate in plan.gates]
    legs: list[tuple[list[Point], tuple[float, ...]]] = []
    for start, end in itertools.pairwise([*times, plan.touchdown_time_s]):
        inside = (path.time_s >= start) & (path.time_s <= end)
        if np.count_nonzero(inside) > 2:
            legs.append((frame.line(path.x_m[inside], path.y_m[inside]), (0.36, 0.8) if not legs else (0.45,)))
    return legs


def _final_over_runway(plan: Plan, frame: Frame) -> list[Element]:
    """The end of the path again, over the runway."""
    final = plan.gate(GateName.FINAL)
    if final is None or not plan.feasible:
        return []
    late = plan.path.time_s >= final.time_s
    points = ink.thinned(frame.points(plan.path.x_m[late], plan.path.y_m[late]))
    return [svg.polyline(points, Colour.INK, tokens.PATH_PX, class_="path planned")]


def _gates(plan: Plan, fit: Fit) -> list[Element]:
    parts = []
    for gate in plan.gates:
        at, label = fit.points[gate.name], fit.labels[gate.name]
        parts.append(
            svg.group(
                ink.gate_circle(at),
                svg.group(*label.label.drawn(label.at), class_="gate-label"),
                ink.grab_area(at),
                class_="gate",
                data={
                    "gate": str(gate.name),
                    "x": at[0],
                    "y": at[1],
                    "x-m": gate.x_m,
                    "y-m": gate.y_m,
                    "height-m": gate.height_m,
                    "time": gate.time_s,
                },
            )
        )
    return parts
