"""The whiteboard of an exercise flown: the plan soft behind, the flight in five styles by its height in hand, beads.

Times on the board count from the high key (from the first second found, where there is none); `data-time` counts from
the start of the recording, like every time of a debrief.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from volplane.domain.debrief.results import Attempt
from volplane.domain.exercise.exercise import GateName
from volplane.domain.finding import Finding
from volplane.faces.documents.wording import IMPERIAL, Units
from volplane.faces.report import board, board_notes, gate_labels, ink, lettering, svg, tokens
from volplane.faces.report.board import Array, Frame, RunwayOutline, WindBlock
from volplane.faces.report.boxes import Candidate, Placer, single
from volplane.faces.report.fitting import Fit, Subject, fitted
from volplane.faces.report.ink import PathStyle
from volplane.faces.report.svg import Drawing, Element, Point
from volplane.faces.report.tokens import Colour, Theme

FLOWN_BOARD_PX = (408.0, 440.0)
LEGEND_PX = (408.0, 74.0)
# fine enough that a change of style falls where height in hand crosses its bound
_STYLE_STEP_S = 0.2
# a stretch shorter than this cannot be told from its neighbours
_SHORTEST_RUN_PX = 4.0


@dataclass(frozen=True, slots=True)
class Run:
    """A stretch of the flight in one style: its times (n,)."""

    style: PathStyle
    time_s: Array


def whiteboard_debrief(
    attempt: Attempt,
    *,
    findings: Sequence[Finding] | None = None,
    size_px: tuple[float, float] = FLOWN_BOARD_PX,
    units: Units = IMPERIAL,
    theme: Theme = Theme.PAGE,
) -> str:
    """The whiteboard of an exercise flown as SVG; `findings` get their numbers (the first three if not given)."""
    numbered = tuple(attempt.findings[:3] if findings is None else findings)
    return drawing(attempt, numbered, size_px, units).svg(theme)


def drawing(attempt: Attempt, findings: Sequence[Finding], size_px: tuple[float, float], units: Units) -> Drawing:
    """The whiteboard of an exercise flown as a drawing without a theme."""
    subject = _subject(attempt, units)
    fit = fitted(subject, size_px)
    frame, outline = fit.frame, subject.outline
    placer = fit.placer(subject, size_px)
    corners = board_notes.Corners(placer, attempt.pattern, size_px)
    wind = corners.wind(subject.wind)
    numbers = _finding_numbers(attempt, findings, fit, placer)
    runway_name = board_notes.runway_number(placer, frame, outline, attempt.pattern)
    scale = corners.scale(*board.scale_bar(frame, units))
    x_m = np.concatenate((attempt.plan.path.x_m, attempt.path.x_m))
    return Drawing(
        name="whiteboard-debrief",
        width_px=size_px[0],
        height_px=size_px[1],
        title=f"Whiteboard: flown to runway {outline.name}, {attempt.pattern} pattern",
        description=_description(attempt, units),
        parts=(
            *board.centreline(frame, outline, float(x_m.min()), float(x_m.max())),
            plan_behind(attempt, frame),
            *board.runway(frame, outline),
            board.touchdown_bar(frame),
            *flown_line(attempt, frame),
            *_gates(attempt, fit),
            *beads(attempt, frame),
            *flown_dots(attempt, frame),
            *wind,
            *scale,
            *runway_name,
            *numbers,
            *_bead_times(attempt, frame, placer),
        ),
        data={"figure": "whiteboard-debrief", "pattern": str(attempt.pattern), **frame.data(), **time_data(attempt)},
    )


def path_legend(*, size_px: tuple[float, float] = LEGEND_PX, units: Units = IMPERIAL, theme: Theme = Theme.PAGE) -> str:
    """What the styles and symbols of a flown path mean."""
    much, spare, missing, much_missing = (
        units.height.figure(bound) for bound in (ink.MUCH_M, ink.SPARE_M, ink.MISSING_M, ink.MUCH_MISSING_M)
    )
    ranges = {
        PathStyle.MUCH: f"over {much}",
        PathStyle.SPARE: f"{spare} to {much}",
        PathStyle.RIGHT: f"{missing} to {spare}",
        PathStyle.MISSING: f"{missing} to {much_missing}",
        PathStyle.MUCH_MISSING: f"under {much_missing}",
    }
    column = size_px[0] / len(ranges)
    title = f"Height in hand along the path flown, {units.height.unit}"
    parts: list[Element] = [svg.text((0.0, 11.0), title, lettering.TITLE)]
    for number, (style, range_words) in enumerate(ranges.items()):
        left = number * column
        parts += ink.styled_line([(left, 28.0), (left + column - 14.0, 28.0)], style)
        parts.append(svg.text((left, 48.0), range_words, lettering.NOTE))
    parts.append(svg.line((0.0, 64.0), (30.0, 64.0), Colour.SOFT, tokens.PLAN_BEHIND_PX))
    parts += [
        ink.bead((116.0, 64.0), 0.0),
        ink.flown_dot((232.0, 64.0)),
        ink.gate_circle((300.0, 64.0), is_behind=True),
    ]
    for left, words in ((36.0, "planned"), (125.0, "bead every 10 s"), (240.0, "flown"), (310.0, "gate as planned")):
        parts.append(svg.text((left, 68.0), words, lettering.NOTE))
    words = "Styles of the flown path by height in hand, most to spare first."
    return Drawing("path-legend", *size_px, "Legend of the path flown", words, tuple(parts), {}).svg(theme)


def zero_time_s(attempt: Attempt) -> float:
    """The time all figures of an exercise count from: its high key, or its first second."""
    high = attempt.gate(GateName.HIGH_KEY)
    return attempt.start_time_s if high is None else high.time_s


def time_data(attempt: Attempt) -> dict[str, svg.Value]:
    """Times a page needs, counted from the start of the recording."""
    return {"time-zero": zero_time_s(attempt), "time-start": attempt.start_time_s, "time-end": attempt.end_time_s}


def runs(attempt: Attempt, px_a_metre: float) -> list[Run]:
    """The flight cut into stretches of one style each; each begins where the one before ends."""
    path, hand = attempt.path, attempt.height_in_hand
    time_s = np.append(np.arange(path.time_s[0], path.time_s[-1], _STYLE_STEP_S), path.time_s[-1])
    if hand is None:
        return [Run(PathStyle.UNKNOWN, time_s)]
    in_hand_m = np.interp(time_s, hand.time_s, hand.in_hand_m, left=np.nan, right=np.nan)
    room_m = np.interp(time_s, hand.time_s, hand.room_above_m, left=np.nan, right=np.nan)
    styles = [ink.style_of(float(spare), float(room)) for spare, room in zip(in_hand_m, room_m, strict=True)]
    speed_px = float(np.median(path.ground_speed_mps)) * px_a_metre
    shortest = max(int(_SHORTEST_RUN_PX / max(speed_px * _STYLE_STEP_S, 1e-9)), 1)
    found: list[Run] = []
    start = 0
    for end in range(1, len(styles) + 1):
        if end < len(styles) and styles[end] is styles[start]:
            continue
        if found and (end - start < shortest or found[-1].style is styles[start]):
            last = found.pop()
            found.append(Run(last.style, np.concatenate((last.time_s, time_s[start : end + 1]))))
        else:
            found.append(Run(styles[start], time_s[start : end + 1]))
        start = end
    return [run for run in found if run.time_s.size > 1]


def flown_line(attempt: Attempt, frame: Frame) -> list[Element]:
    """The path flown in its styles."""
    path = attempt.path
    parts: list[Element] = []
    for run in runs(attempt, frame.px_a_metre):
        x_m, y_m = np.interp(run.time_s, path.time_s, path.x_m), np.interp(run.time_s, path.time_s, path.y_m)
        parts += ink.styled_line(ink.thinned(frame.points(x_m, y_m)), run.style)
    return parts


def plan_behind(attempt: Attempt, frame: Frame) -> Element:
    """The plan, soft and thin, without arrowheads."""
    path = attempt.plan.path
    points = ink.thinned(frame.points(path.x_m, path.y_m))
    return svg.polyline(points, Colour.SOFT, tokens.PLAN_BEHIND_PX, class_="path behind")


def bead_times_s(attempt: Attempt) -> list[float]:
    """Every tenth second counted from the high key."""
    zero = zero_time_s(attempt)
    first = math.ceil((attempt.path.time_s[0] - zero) / tokens.BEAD_EVERY_S - 1e-9)
    last = math.floor((attempt.path.time_s[-1] - zero) / tokens.BEAD_EVERY_S + 1e-9)
    return [zero + tokens.BEAD_EVERY_S * count for count in range(first, last + 1)]


def place_at(attempt: Attempt, frame: Frame, time_s: float) -> Point:
    """Where the airplane was at a time, in px."""
    path = attempt.path
    return frame.px(float(np.interp(time_s, path.time_s, path.x_m)), float(np.interp(time_s, path.time_s, path.y_m)))


def beads(attempt: Attempt, frame: Frame) -> list[Element]:
    """A bead every ten seconds."""
    return [ink.bead(place_at(attempt, frame, time_s), time_s) for time_s in bead_times_s(attempt)]


def flown_dots(attempt: Attempt, frame: Frame) -> list[Element]:
    """Gates and touchdown as flown."""
    places = [(str(gate.name), gate.x_m, gate.y_m, gate.time_s) for gate in attempt.gates]
    if attempt.touchdown is not None:
        touchdown = attempt.touchdown
        places.append(("touchdown", touchdown.x_m, touchdown.y_m, touchdown.time_s))
    return [
        svg.group(ink.flown_dot(frame.px(x_m, y_m)), class_="flown-gate", data={"gate": name, "time": time_s})
        for name, x_m, y_m, time_s in places
    ]


def _subject(attempt: Attempt, units: Units) -> Subject:
    plan, path = attempt.plan, attempt.path
    wished = {gate.name: gate for gate in plan.gates}
    flown = {gate.name: gate for gate in attempt.gates}
    bearing = plan.exercise.runway.bearing_true_rad
    levels = [
        board.level_of(wind.from_true_rad, wind.speed_mps, bearing, board.height_words(wind.height_m, units), units)
        for wind in sorted(attempt.wind, key=lambda wind: wind.height_m)[:1]
    ]
    return Subject(
        outline=RunwayOutline.of(plan.exercise),
        paths=[(path.x_m, path.y_m), (plan.path.x_m, plan.path.y_m)],
        gates={
            name: (wished[name].x_m, wished[name].y_m) if name in wished else (flown[name].x_m, flown[name].y_m)
            for name in GateName
            if name in wished or name in flown
        },
        lines={
            name: gate_labels.flown_lines(flown[name], wished.get(name), units)
            if name in flown
            else gate_labels.not_flown_lines(wished[name], units)
            for name in GateName
            if name in wished or name in flown
        },
        pattern=attempt.pattern,
        wind=WindBlock("Wind found" if levels else "Wind not found", levels),
    )


def _gates(attempt: Attempt, fit: Fit) -> list[Element]:
    parts = []
    for name, at in fit.points.items():
        label = fit.labels[name]
        circle = [] if attempt.plan.gate(name) is None else [ink.gate_circle(at, is_behind=True)]
        parts.append(
            svg.group(
                *circle,
                svg.group(*label.label.drawn(label.at), class_="gate-label"),
                class_="gate",
                data={"gate": str(name), "x": at[0], "y": at[1]},
            )
        )
    return parts


def _finding_numbers(attempt: Attempt, findings: Sequence[Finding], fit: Fit, placer: Placer) -> list[Element]:
    """Numbers beside the path where each finding happened, on the outside first."""
    parts = []
    for number, finding in enumerate(findings, start=1):
        if finding.time_s is None:
            continue
        at = place_at(attempt, fit.frame, finding.time_s)
        heading = float(np.interp(finding.time_s, attempt.path.time_s, attempt.path.track_rad))
        # to the right of a left pattern's track is outside; on the drawing x goes up and y goes left
        outward = heading - attempt.pattern.sign * math.pi / 2.0
        for away in (20.0, -20.0, 30.0, -30.0, 42.0, -42.0):
            middle = (at[0] - away * math.sin(outward), at[1] - away * math.cos(outward))
            box = ink.number_box(middle)
            if placer.is_free(box) or (abs(away) > 25.0 and placer.is_free(box, over_lines=True)):
                placer.take(box)
                parts.append(ink.finding_number(middle, number))
                break
    return parts


def _bead_times(attempt: Attempt, frame: Frame, placer: Placer) -> list[Element]:
    """Every second bead named, on the outside of the turn, where there is room."""
    zero = zero_time_s(attempt)
    parts: list[Element] = []
    for time_s in bead_times_s(attempt):
        after = round(time_s - zero)
        if after <= 0 or after % 20:
            continue
        at = place_at(attempt, frame, time_s)
        heading = float(np.interp(time_s, attempt.path.time_s, attempt.path.track_rad))
        outward = heading - attempt.pattern.sign * math.pi / 2.0
        out = (-math.sin(outward), -math.cos(outward))
        anchor = "start" if out[0] > 0.3 else "end" if out[0] < -0.3 else "middle"
        label = single(f"{after}\u00a0s", lettering.BEAD_TIME, anchor)
        options = [Candidate(label, (at[0] + away * out[0], at[1] + away * out[1] + 4.0)) for away in (9.0, 13.0, 18.0)]
        found = placer.place(options)
        if found is not None:
            parts += found.label.drawn(found.at)
    return parts


def _description(attempt: Attempt, units: Units) -> str:
    gates = [f"{gate.name} {units.altimeter_text(gate.altimeter_msl_m)}" for gate in attempt.gates]
    words = ", ".join(gates) or "no gate was found"
    return f"Landing direction up. Outcome: {attempt.outcome}. Altimeter as flown: {words}."
