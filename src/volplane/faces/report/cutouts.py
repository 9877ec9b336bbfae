"""The two figures of a finding: its cut-out of the whiteboard with one annotation, and the one chart that proves it."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from volplane.domain.debrief.results import Attempt
from volplane.domain.exercise.exercise import GateName
from volplane.domain.finding import Finding
from volplane.faces.documents import wording
from volplane.faces.documents.wording import IMPERIAL, Units
from volplane.faces.report import board, charts, fitting, flown_board, ink, svg, tokens
from volplane.faces.report.board import Frame, RunwayOutline
from volplane.faces.report.boxes import Box, Candidate, Placer, single
from volplane.faces.report.lettering import Lettering
from volplane.faces.report.svg import Drawing, Element, Point
from volplane.faces.report.tokens import Colour, Theme

CUTOUT_PX = (194.0, 184.0)
# how much of the pattern a cut-out shows
_SHARE = 0.62
_ANNOTATION = Lettering(tokens.TABLE_PX)
_TURN_CODES = ("turn-to-base-late", "turn-to-base-early")
_GATE_CODES = ("low-at-gate", "high-at-gate")
_GLIDE_CODES = ("glide-better", "glide-worse")


def cutout(
    attempt: Attempt,
    finding: Finding,
    *,
    size_px: tuple[float, float] = CUTOUT_PX,
    units: Units = IMPERIAL,
    theme: Theme = Theme.PAGE,
) -> str:
    """The part of the whiteboard where a finding happened, as SVG: the board's own drawing, framed, one annotation."""
    frame = _frame(attempt, finding, size_px)
    outline = RunwayOutline.of(attempt.plan.exercise)
    x_m = np.concatenate((attempt.plan.path.x_m, attempt.path.x_m))
    placer = Placer(Box(3.0, 3.0, size_px[0] - 3.0, size_px[1] - 3.0))
    paths = (attempt.path, attempt.plan.path)
    runway = [frame.px(outline.threshold_x_m, 0.0), frame.px(outline.end_x_m, 0.0)]
    lines = [*(frame.points(path.x_m, path.y_m) for path in paths), np.array(runway)]
    placer.clear_of = np.concatenate([board.resampled(line) for line in lines])
    for gate in attempt.plan.gates:
        placer.take(fitting.gate_box(frame.px(gate.x_m, gate.y_m)))
    at = flown_board.place_at(attempt, frame, _time_of(attempt, finding))
    inside = svg.element(
        "svg",
        *board.centreline(frame, outline, float(x_m.min()), float(x_m.max())),
        *_turn_edge(attempt, finding, frame),
        flown_board.plan_behind(attempt, frame),
        *board.runway(frame, outline),
        board.touchdown_bar(frame),
        *(ink.gate_circle(frame.px(gate.x_m, gate.y_m), is_behind=True) for gate in attempt.plan.gates),
        *flown_board.flown_line(attempt, frame),
        *flown_board.beads(attempt, frame),
        *flown_board.flown_dots(attempt, frame),
        *_annotated(attempt, finding, frame, at, placer, units),
        x=0.0,
        y=0.0,
        width=size_px[0],
        height=size_px[1],
        overflow="hidden",
    )
    words = annotation(finding, units)
    border = svg.rectangle(
        0.5, 0.5, size_px[0] - 1.0, size_px[1] - 1.0, stroke=Colour.RULE, stroke_width=tokens.RULE_PX, class_="border"
    )
    return Drawing(
        name="cutout",
        width_px=size_px[0],
        height_px=size_px[1],
        title="Cut-out of the whiteboard",
        description=words or "The part of the whiteboard where this happened.",
        parts=(svg.rectangle(0.0, 0.0, *size_px, fill=Colour.SHEET), inside, border),
        data={
            "figure": "cutout",
            "code": finding.code,
            "x": at[0],
            "y": at[1],
            **frame.data(),
            **flown_board.time_data(attempt),
        },
    ).svg(theme)


def finding_chart(
    attempt: Attempt,
    finding: Finding,
    *,
    size_px: tuple[float, float] = charts.CHART_PX,
    units: Units = IMPERIAL,
    theme: Theme = Theme.PAGE,
) -> str:
    """The one chart that shows a finding's claim at once, as SVG."""
    if finding.code in _GATE_CODES:
        return charts.flown_against_plan_chart(attempt, size_px=size_px, units=units, theme=theme)
    if finding.code in _GLIDE_CODES:
        return charts.glide_by_phase_chart(attempt, size_px=size_px, units=units, theme=theme)
    span_s = None
    if finding.code in _TURN_CODES and finding.time_s is not None:
        span_s = (finding.time_s - 25.0, finding.time_s + 45.0)
    marks = {"turn-to-base-late": "turned here", "turn-to-base-early": "turned here", "steep-bank": "steepest"}
    return charts.height_in_hand_chart(
        attempt,
        marked_time_s=finding.time_s,
        mark_words=marks.get(finding.code, ""),
        span_s=span_s,
        size_px=size_px,
        units=units,
        theme=theme,
    )


def annotation(finding: Finding, units: Units) -> str:
    """The few words at the place of a finding; empty for a finding that has no place of its own."""
    makers: dict[str, Callable[[], str]] = {
        "turn-to-base-late": lambda: _length_and_time(finding, "farther_m", "late_s", units),
        "turn-to-base-early": lambda: _length_and_time(finding, "nearer_m", "early_s", units),
        "low-at-gate": lambda: f"{units.height.text(finding.number('low_m'))} low",
        "high-at-gate": lambda: f"{units.height.text(finding.number('high_m'))} high",
        "short-touchdown": lambda: f"{_height(finding, 'short_m', units)} short",
        "long-touchdown": lambda: f"{_height(finding, 'long_m', units)} long",
        "timely-go-around": lambda: f"went around, {_height(finding, 'height_m', units)}",
        "late-go-around": lambda: f"went around, {_height(finding, 'height_m', units)}",
        "steep-bank": lambda: f"{wording.angle(finding.number('bank_rad'))} of bank",
        "too-high-to-lose": lambda: f"{_height(finding, 'above_m', units)} too high",
        "glide-worse": lambda: f"{_height(finding, 'height_m', units)} more sink",
        "glide-better": lambda: f"{_height(finding, 'height_m', units)} less sink",
    }
    maker = makers.get(finding.code)
    return "" if maker is None else maker()


def _height(finding: Finding, name: str, units: Units) -> str:
    """To 10 ft, as the sentences beside the cut-out say it."""
    return units.rounded_height(finding.number(name), units.altimeter_step / 5.0)


def _length_and_time(finding: Finding, length: str, time: str, units: Units) -> str:
    return f"{_height(finding, length, units)}, {wording.seconds(finding.number(time))}"


def _time_of(attempt: Attempt, finding: Finding) -> float:
    """When it happened; a finding of the whole flight is shown at its end."""
    return attempt.end_time_s if finding.time_s is None else finding.time_s


def _frame(attempt: Attempt, finding: Finding, size_px: tuple[float, float]) -> Frame:
    """A frame round the finding, slid so that it shows as little empty ground as it can."""
    path, plan = attempt.path, attempt.plan.path
    x_m, y_m = np.concatenate((path.x_m, plan.x_m)), np.concatenate((path.y_m, plan.y_m))
    extent = max(float(np.ptp(x_m)) / size_px[1], float(np.ptp(y_m)) / size_px[0], 1.0)
    scale = 1.0 / (_SHARE * extent)
    time_s = _time_of(attempt, finding)
    place = (float(np.interp(time_s, path.time_s, path.x_m)), float(np.interp(time_s, path.time_s, path.y_m)))
    margin = 26.0 / scale
    centre = []
    for at, values, span in ((place[0], x_m, size_px[1] / scale), (place[1], y_m, size_px[0] / scale)):
        low, high = float(values.min()) - margin + span / 2.0, float(values.max()) + margin - span / 2.0
        centre.append(min(max(at, low), high) if low <= high else (low + high) / 2.0)
    return Frame(scale, (size_px[0] / 2.0 + centre[1] * scale, size_px[1] / 2.0 + centre[0] * scale))


def _turn_edge(attempt: Attempt, finding: Finding, frame: Frame) -> list[Element]:
    """The edge at which the turn to base must have begun, where the finding is about that turn."""
    low, latest_m = attempt.plan.gate(GateName.LOW_KEY), attempt.plan.legs.turn_no_later_x_m
    if finding.code not in _TURN_CODES or low is None or latest_m is None:
        return []
    across, down = frame.px(latest_m, low.y_m)
    return ink.toothed_edge((across - 24.0, down), (across + 24.0, down))


def _annotated(
    attempt: Attempt, finding: Finding, frame: Frame, at: Point, placer: Placer, units: Units
) -> list[Element]:
    words = annotation(finding, units)
    if not words:
        return []
    parts: list[Element] = []
    anchor_at = at
    inward = 1.0 if attempt.pattern.sign > 0 else -1.0
    if finding.code in _TURN_CODES:
        low = attempt.plan.gate(GateName.LOW_KEY)
        planned_x = -attempt.plan.legs.downwind_m
        beside = frame.px(planned_x, 0.0 if low is None else low.y_m)
        across = max(at[0], beside[0]) + 26.0 if inward > 0 else min(at[0], beside[0]) - 26.0
        top, bottom = sorted((beside[1], at[1]))
        if bottom - top > 3.0:
            parts += [
                svg.line((across - 6.0, level), (across + 6.0, level), Colour.SOFT, tokens.CONSTRUCTION_PX)
                for level in (top, bottom)
            ]
            parts += ink.dimension((across, top), (across, bottom), has_heads=bottom - top > 18.0)
        anchor_at = (across, (top + bottom) / 2.0)
        placer.take(Box(across - 3.0, top, across + 3.0, bottom))
    options = _places(anchor_at, words, inward, placer.frame)
    found = placer.place(options) or placer.place(options, over_lines=True)
    return parts if found is None else [*parts, *found.label.drawn(found.at)]


def _places(at: Point, words: str, inward: float, frame: Box) -> list[Candidate]:
    """Places for an annotation: beside its point, inside the pattern first, then over or under it within the frame."""
    beside = [
        Candidate(
            single(words, _ANNOTATION, "start" if side > 0 else "end"),
            (at[0] + side * away * math.cos(angle), at[1] + away * math.sin(angle) + 4.5),
        )
        for away in (14.0, 20.0, 28.0, 38.0, 56.0)
        for angle in (0.0, 0.6, -0.6, 1.2, -1.2, math.pi / 2, -math.pi / 2)
        for side in (inward, -inward)
    ]
    half = _ANNOTATION.width_px(words) / 2.0
    middle = min(max(at[0], frame.left + half), frame.right - half)
    label = single(words, _ANNOTATION, "middle")
    over = [
        Candidate(label, (middle, at[1] + side * away + 4.5))
        for away in (18.0, 28.0, 40.0, 60.0, 84.0)
        for side in (-1, 1)
    ]
    return [*beside, *over]
