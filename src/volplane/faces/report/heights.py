"""Charts of height: along the planned path, and the ladder of gates with their windows. Both share one axis.

Heights are altimeter readings today; the foot of the axis is what the altimeter reads at the touchdown point.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from volplane.domain.debrief.results import Attempt, FlownGate
from volplane.domain.exercise.plan import Plan, PlannedGate
from volplane.faces.documents import wording
from volplane.faces.documents.wording import IMPERIAL, Units
from volplane.faces.report import axes, ink, svg, tokens
from volplane.faces.report.axes import Plot
from volplane.faces.report.board import resampled
from volplane.faces.report.boxes import Box, Candidate, Placer, single
from volplane.faces.report.lettering import NAME, NOTE
from volplane.faces.report.svg import Drawing, Element, Point
from volplane.faces.report.tokens import Colour, Theme

Array = NDArray[np.float64]

PROFILE_PX = (352.0, 228.0)
LADDER_PX = (246.0, 228.0)
FLOWN_LADDER_PX = (408.0, 300.0)
# limits left of a bracket and the flown reading right of it leave the next column free
_BESIDE_PX = 10.0
_FLOWN = NAME.sized(tokens.NOTE_PX)
LADDER_TOP_PX, LADDER_FOOT_PX, _AXIS_PX = 34.0, 24.0, 48.0


@dataclass(frozen=True, slots=True)
class HeightAxis:
    """The range of altimeter readings of a plan in the reader's unit."""

    ground: float
    top: float

    @classmethod
    def of(cls, plan: Plan, units: Units, flown: tuple[FlownGate, ...] = ()) -> HeightAxis:
        """The axis that holds the gates, their windows and what was flown."""
        readings = [gate.altimeter_msl_m for gate in plan.gates] + [gate.altimeter_msl_m for gate in flown]
        readings += [gate.altimeter_highest_msl_m for gate in plan.gates]
        ground = units.height.value(ground_msl_m(plan))
        top = max(units.height.value(reading) for reading in [*readings, ground_msl_m(plan)] if math.isfinite(reading))
        return cls(ground, max(top, ground + 1.0))

    def data(self) -> dict[str, str]:
        """What a page needs to turn px into readings, and to ask for the same axis again."""
        return {"axis-ground": f"{self.ground:.2f}", "axis-top": f"{self.top:.2f}"}

    def ticks(self) -> list[float]:
        """Round readings, none so near the foot that figures touch."""
        step = axes.step_for(self.top - self.ground, 7)
        return [value for value in axes.ticks(self.ground, self.top, 7) if value - self.ground > 0.45 * step]


def ground_msl_m(plan: Plan) -> float:
    """What the altimeter reads at the touchdown point."""
    wish = plan.exercise
    above_m = wish.ground_msl_m - wish.weather.atmosphere.field_elevation_msl_m
    return float(wish.weather.atmosphere.altimeter_msl_m(above_m))


def height_profile(
    plan: Plan,
    *,
    size_px: tuple[float, float] = PROFILE_PX,
    units: Units = IMPERIAL,
    theme: Theme = Theme.PAGE,
    held: HeightAxis | None = None,
) -> str:
    """Height along the planned path as SVG: the path's ground track unrolled, gates with their readings.

    `held` keeps the axis of an earlier drawing while a gate is dragged.
    """
    axis = held or HeightAxis.of(plan, units)
    along = path_length_m(plan)
    area = Box(_AXIS_PX, LADDER_TOP_PX, size_px[0] - 2.0, size_px[1] - LADDER_FOOT_PX)
    frame = axes.plot(area, (0.0, float(along[-1])), (axis.ground, axis.top))
    altimeter = plan.exercise.weather.atmosphere.altimeter_msl_m
    above_field_m = (
        plan.path.height_m + plan.exercise.ground_msl_m - plan.exercise.weather.atmosphere.field_elevation_msl_m
    )
    readings = altimeter(above_field_m) / units.height.unit_si
    line = [frame.at(float(x), float(y)) for x, y in zip(along, readings, strict=True)]
    placer = Placer(Box(0.0, 0.0, *size_px), resampled(line))
    colour = Colour.INK if plan.feasible else Colour.ORANGE1
    points = [(gate, _gate_point(gate, plan, along, frame, units)) for gate in plan.gates]
    for _, point in points:
        placer.take(Box(point[0], point[1], point[0], point[1]).grown(6.0))
    drawing = Drawing(
        name="height-profile",
        width_px=size_px[0],
        height_px=size_px[1],
        title="Height along the path, altimeter",
        description=", ".join(f"{gate.name} {units.altimeter_text(gate.altimeter_msl_m)}" for gate in plan.gates),
        parts=(
            axes.title("Height along the path, altimeter"),
            *axes.grid(frame, axis.ticks()),
            *_foot(frame, axis),
            *(axes.drop_line(point[0], point[1], area.bottom) for _, point in points),
            svg.polyline(
                ink.thinned(line),
                colour,
                tokens.PATH_PX,
                dash=None if plan.feasible else "9 3.5",
                class_="path planned",
            ),
            svg.line((line[-1][0] - 9.0, area.bottom), (line[-1][0], area.bottom), Colour.INK, tokens.TOUCHDOWN_PX),
            *_profile_gates(points, placer, units),
            *_break_off(plan, frame, placer, units),
            *_gate_names([(str(gate.name), point[0]) for gate, point in points], area, size_px),
        ),
        data={"figure": "height-profile", **frame.data(), **axis.data()},
    )
    return drawing.svg(theme)


def gate_ladder(
    subject: Plan | Attempt,
    *,
    size_px: tuple[float, float] | None = None,
    units: Units = IMPERIAL,
    theme: Theme = Theme.PAGE,
    held: HeightAxis | None = None,
) -> str:
    """The gates as a ladder with their windows: of a plan, or of an exercise flown with what was planned.

    `held` keeps the axis of an earlier drawing while a gate is dragged.
    """
    attempt = subject if isinstance(subject, Attempt) else None
    plan = subject.plan if isinstance(subject, Attempt) else subject
    size = size_px or (LADDER_PX if attempt is None else FLOWN_LADDER_PX)
    axis = held or HeightAxis.of(plan, units, () if attempt is None else attempt.gates)
    left = 0.0 if attempt is None else _AXIS_PX
    area = Box(left, LADDER_TOP_PX, size[0], size[1] - LADDER_FOOT_PX)
    frame = axes.plot(area, (0.0, float(max(len(plan.gates), 1))), (axis.ground, axis.top))
    parts: list[Element] = [axes.title("Gate ladder" if attempt is None else "Gate ladder, altimeter")]
    if attempt is None:
        parts.append(svg.line((0.0, area.bottom), (area.right, area.bottom), Colour.INK, tokens.FURNITURE_PX))
    else:
        wide = [value for value in axes.ticks(axis.ground, axis.top, 4) if value - axis.ground > 0.1 * axis.ground]
        parts += [*axes.grid(frame, wide), *_foot(frame, axis)]
    names = []
    for number, gate in enumerate(plan.gates):
        across = frame.across.px(number + (0.28 if attempt is None else 0.42))
        flown = None if attempt is None else attempt.gate(gate.name)
        rung = _planned_rung if attempt is None else _flown_rung
        parts.append(svg.group(*rung(gate, flown, across, frame, units), class_="rung", data={"gate": str(gate.name)}))
        names.append((str(gate.name), across))
    parts += _gate_names(names, area, size, is_centred=True)
    drawing = Drawing(
        name="gate-ladder",
        width_px=size[0],
        height_px=size[1],
        title="Gate ladder, altimeter readings",
        description=_ladder_words(plan, attempt, units),
        parts=tuple(parts),
        data={"figure": "gate-ladder", **frame.data(), **axis.data()},
    )
    return drawing.svg(theme)


def path_length_m(plan: Plan) -> Array:
    """Length of the ground track from the start, (n,)."""
    steps = np.hypot(np.diff(plan.path.x_m), np.diff(plan.path.y_m))
    return np.concatenate(([0.0], np.cumsum(steps)))


def _gate_point(gate: PlannedGate, plan: Plan, along: Array, frame: Plot, units: Units) -> Point:
    length = float(np.interp(gate.time_s, plan.path.time_s, along))
    return frame.at(length, units.height.value(gate.altimeter_msl_m))


def _foot(frame: Plot, axis: HeightAxis) -> list[Element]:
    """The ground as an ink line with its reading."""
    bottom = frame.area.bottom
    return [
        svg.line((frame.area.left, bottom), (frame.area.right, bottom), Colour.INK, tokens.FURNITURE_PX),
        svg.text((frame.area.left - 8.0, bottom + 4.3), wording.figure(axis.ground), NOTE, anchor="end"),
    ]


def _profile_gates(points: list[tuple[PlannedGate, Point]], placer: Placer, units: Units) -> list[Element]:
    parts = []
    for gate, (x, y) in points:
        reading = units.altimeter(gate.altimeter_msl_m)
        options = [
            Candidate(single(reading, NAME, anchor), (x + across, y + down))
            for anchor, across, down in (
                ("start", 9.0, -8.0),
                ("start", 6.0, -14.0),
                ("middle", 0.0, -14.0),
                ("start", 10.0, -24.0),
                ("end", 14.0, -14.0),
                ("end", 14.0, -26.0),
                ("end", -9.0, 18.0),
            )
        ]
        found = placer.place_surely(options)
        parts.append(
            svg.group(
                ink.gate_circle((x, y)),
                svg.group(*found.label.drawn(found.at), class_="gate-label"),
                ink.grab_area((x, y)),
                class_="gate",
                data={"gate": str(gate.name), "x": x, "y": y, "time": gate.time_s},
            )
        )
    return parts


def _break_off(plan: Plan, frame: Plot, placer: Placer, units: Units) -> list[Element]:
    """Break-off height as a dashed line, named by its altimeter reading like everything else in the chart."""
    reading_m = plan.break_off.altimeter_msl_m
    down = frame.up.px(units.height.value(reading_m))
    if not frame.area.top < down < frame.area.bottom - 4.0:
        return []
    line = svg.line((frame.area.left, down), (frame.area.right, down), Colour.SOFT, tokens.RULE_PX, dash="5 4")
    label = single(f"break off at {units.altimeter(reading_m, 'up')}", NOTE)
    at = [(frame.area.left + 6.0, down - 5.0), (frame.area.left + 6.0, down + 14.0)]
    found = placer.place([Candidate(label, place) for place in at])
    return [line] if found is None else [line, *found.label.drawn(found.at)]


def _gate_names(
    names: list[tuple[str, float]], area: Box, size_px: tuple[float, float], *, is_centred: bool = False
) -> list[Element]:
    """Gate names under the axis; one that would touch its neighbour slides aside, or stays away."""
    placer = Placer(Box(0.0, 0.0, size_px[0] + 2.0, size_px[1] + 2.0))
    parts: list[Element] = []
    for number, (name, across) in enumerate(names):
        words = wording.sentence_case(name)
        anchors = (
            (("start", "middle") if number == 0 else ("middle", "start")) if not is_centred else ("middle", "start")
        )
        half = NOTE.width_px(words) / 2.0
        slides = (0.0, -12.0, 12.0, 20.0, -20.0, 28.0)
        options = [
            Candidate(
                single(words, NOTE, anchor),
                (min(max(across + slide, half if anchor == "middle" else 0.0), size_px[0]), area.bottom + 17.0),
            )
            for anchor in anchors
            for slide in slides
        ]
        found = placer.place(options)
        if found is not None:
            parts += found.label.drawn(found.at)
    return parts


def _window_px(gate: PlannedGate, frame: Plot, units: Units) -> tuple[float, float] | None:
    """Top and bottom of a gate's window in px; None when no height works there."""
    highest, lowest = gate.altimeter_highest_msl_m, gate.altimeter_lowest_msl_m
    if not math.isfinite(lowest) or highest < lowest:
        return None
    top = frame.up.px(units.height.value(highest)) if math.isfinite(highest) else frame.area.top
    bottom = frame.up.px(units.height.value(lowest))
    return max(top, frame.area.top - 2.0), min(bottom, frame.area.bottom)


def _planned_rung(
    gate: PlannedGate, flown: FlownGate | None, across: float, frame: Plot, units: Units
) -> list[Element]:
    """Bracket and circle of a planned gate, highest over it and lowest under it, or beside it near the ground."""
    parts: list[Element] = []
    window = _window_px(gate, frame, units)
    if window is not None:
        top, bottom = window
        parts += ink.bracket(across, top, bottom)
        highest = units.altimeter(gate.altimeter_highest_msl_m, "down")
        parts.append(svg.text((across, top - 6.0), highest, NOTE, anchor="middle"))
        lowest = units.altimeter(gate.altimeter_lowest_msl_m, "up")
        if bottom + 20.0 < frame.area.bottom:
            parts.append(svg.text((across, bottom + 17.0), lowest, NOTE, anchor="middle"))
        else:
            has_room = across + 10.0 + NOTE.width_px(lowest) <= frame.area.right
            side, anchor = (10.0, "start") if has_room else (-10.0, "end")
            parts.append(svg.text((across + side, bottom + 4.0), lowest, NOTE, anchor=anchor))
    is_narrow = window is not None and window[1] - window[0] < 22.0
    at = (across, frame.up.px(units.height.value(gate.altimeter_msl_m)))
    radius = 3.5 if is_narrow else 5.0
    parts.append(svg.circle(at, radius, fill=Colour.PAPER, stroke=Colour.INK, stroke_width=tokens.FURNITURE_PX))
    return [*parts, ink.grab_area(at)]


def _flown_rung(gate: PlannedGate, flown: FlownGate | None, across: float, frame: Plot, units: Units) -> list[Element]:
    """Bracket with its limits on the left, the planned circle soft, the flown dot with its reading on the right."""
    parts: list[Element] = []
    window = _window_px(gate, frame, units)
    if window is not None:
        top, bottom = window
        parts += ink.bracket(across, top, bottom)
        up, down = (top + 4.0, bottom + 4.0) if bottom - top > 14.0 else (top - 3.0, bottom + 8.0)
        highest = units.altimeter(gate.altimeter_highest_msl_m, "down")
        lowest = units.altimeter(gate.altimeter_lowest_msl_m, "up")
        parts.append(svg.text((across - _BESIDE_PX, up), highest, NOTE, anchor="end"))
        parts.append(svg.text((across - _BESIDE_PX, down), lowest, NOTE, anchor="end"))
    planned_at = (across, frame.up.px(units.height.value(gate.altimeter_msl_m)))
    parts.append(ink.gate_circle(planned_at, is_behind=True))
    if flown is None:
        parts.append(svg.text((across + _BESIDE_PX, planned_at[1] + 4.5), wording.NOT_OBSERVABLE, _FLOWN))
        return parts
    at = (across, frame.up.px(units.height.value(flown.altimeter_msl_m)))
    reading = wording.figure(wording.rounded(units.height.value(flown.altimeter_msl_m), 10.0))
    parts += [ink.flown_dot(at), svg.text((across + _BESIDE_PX, at[1] + 4.5), reading, _FLOWN)]
    return parts


def _ladder_words(plan: Plan, attempt: Attempt | None, units: Units) -> str:
    words = []
    for gate in plan.gates:
        flown = None if attempt is None else attempt.gate(gate.name)
        said = f"{gate.name}: planned {units.altimeter_text(gate.altimeter_msl_m)}"
        if flown is not None:
            said += f", flown {units.height.text(flown.altimeter_msl_m)}"
        words.append(said)
    return ". ".join(words)
