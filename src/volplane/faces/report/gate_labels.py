"""Labels of gates on a board: what they say, and where they may stand, outward from the pattern first."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from volplane.domain.debrief.results import FlownGate
from volplane.domain.exercise.exercise import Exercise, GateName
from volplane.domain.exercise.plan import PlannedGate
from volplane.domain.geometry.airfield import Side
from volplane.faces.documents import wording
from volplane.faces.documents.wording import Units
from volplane.faces.report import lettering
from volplane.faces.report.boxes import Candidate, Label, Line
from volplane.faces.report.lettering import Lettering
from volplane.faces.report.svg import Point

AWAY_PX = 15.0
# how far a label may slide along its side of the gate
_SLIDES_PX = (0.0, -14.0, 14.0, -28.0, 28.0, -44.0, 44.0, -64.0, 64.0)
# lines of a label: lettering and words, the first one is the name
Lines = Sequence[tuple[str, Lettering]]


def window_words(gate: PlannedGate, units: Units) -> str:
    """Lowest to highest as altimeter readings, the lowest rounded up and the highest down."""
    if not math.isfinite(gate.altimeter_lowest_msl_m):
        return "no height works"
    lowest = units.altimeter(gate.altimeter_lowest_msl_m, "up")
    if not math.isfinite(gate.altimeter_highest_msl_m):
        return f"{lowest} or higher"
    if gate.altimeter_highest_msl_m < gate.altimeter_lowest_msl_m:
        return "no height works"
    return f"{lowest} to {units.altimeter(gate.altimeter_highest_msl_m, 'down')}"


def above_words(height_m: float, exercise: Exercise, units: Units) -> str:
    """The true height above what plays the ground."""
    floor = "above the floor" if exercise.flies_to_practice_floor else "above field"
    return f"{wording.figure(wording.rounded(units.height.value(height_m), 10.0))} {floor}"


def planned_lines(gate: PlannedGate, exercise: Exercise, units: Units) -> Lines:
    """The four lines of a planned gate."""
    return (
        (wording.sentence_case(gate.name), lettering.NAME),
        (units.altimeter(gate.altimeter_msl_m), lettering.READING),
        (window_words(gate, units), lettering.WINDOW),
        (above_words(gate.height_m, exercise, units), lettering.NOTE),
    )


def flown_lines(gate: FlownGate, planned: PlannedGate | None, units: Units) -> Lines:
    """The three lines of a flown gate: name, altimeter as flown, altimeter as planned."""
    flown = units.height.figure(wording.rounded(units.height.value(gate.altimeter_msl_m), 10.0) * units.height.unit_si)
    lines = [(wording.sentence_case(gate.name), lettering.NAME), (flown, lettering.NAME)]
    if planned is not None:
        lines.append((f"plan {units.altimeter(planned.altimeter_msl_m)}", lettering.NOTE))
    return lines


def not_flown_lines(planned: PlannedGate, units: Units) -> Lines:
    """The lines of a planned gate that was not flown."""
    return (
        (wording.sentence_case(planned.name), lettering.NAME),
        (wording.NOT_OBSERVABLE, lettering.NAME),
        (f"plan {units.altimeter(planned.altimeter_msl_m)}", lettering.NOTE),
    )


def beside(at: Point, lines: Lines, side: Side) -> list[Candidate]:
    """The label to the right or to the left of a gate, sliding up and down."""
    sign, anchor = (1.0, "start") if side is Side.RIGHT else (-1.0, "end")
    baselines = _baselines(lines)
    label = Label(
        tuple(
            Line(words, style, sign * AWAY_PX, baseline, anchor)
            for (words, style), baseline in zip(lines, baselines, strict=True)
        )
    )
    return [Candidate(label, (at[0], at[1] + slide)) for slide in _SLIDES_PX]


def below(at: Point, lines: Lines, *, is_above: bool = False) -> list[Candidate]:
    """The label under (or over) a gate: name and reading on one line, the rest centred under it."""
    if len(lines) == 1:
        ((name, style),) = lines
        label = Label((Line(name, style, 0.0, -AWAY_PX + 2.0 if is_above else AWAY_PX + 9.0, "middle"),))
        return [Candidate(label, (at[0] + slide, at[1])) for slide in (0.0, 16.0, -16.0, 32.0, -32.0)]
    (name, name_style), (reading, reading_style), *rest = lines
    gap = 10.0
    width = name_style.width_px(name) + gap + reading_style.width_px(reading)
    step = 17.0
    first = -AWAY_PX - step * len(rest) if is_above else AWAY_PX - 5.0 + reading_style.size_px
    parts = [
        Line(name, name_style, -width / 2.0, first),
        Line(reading, reading_style, width / 2.0, first, "end"),
    ]
    parts += [Line(words, style, 0.0, first + step * (row + 1), "middle") for row, (words, style) in enumerate(rest)]
    label, away = Label(tuple(parts)), -1.0 if is_above else 1.0
    return [
        Candidate(label, (at[0] + slide, at[1] + away * farther))
        for farther in (0.0, 8.0, 16.0, 26.0)
        for slide in (0.0, 20.0, -20.0, 40.0, -40.0)
    ]


def candidates(name: GateName, at: Point, lines: Lines, pattern: Side) -> list[Candidate]:
    """Places for a gate's label, the usual one first: high key and final outside, low key outside, base key below."""
    outside, inside = (Side.RIGHT, Side.LEFT) if pattern is Side.LEFT else (Side.LEFT, Side.RIGHT)
    if name is GateName.LOW_KEY:
        outside, inside = inside, outside
    if name is GateName.BASE_KEY:
        return [*below(at, lines), *beside(at, lines, inside), *beside(at, lines, outside)]
    return [
        *beside(at, lines, outside),
        *beside(at, lines, inside),
        *below(at, lines),
        *below(at, lines, is_above=True),
    ]


def places(
    lines_by_gate: Mapping[GateName, Lines], points: Mapping[GateName, Point], pattern: Side
) -> dict[GateName, list[Candidate]]:
    """Candidates of every gate."""
    return {name: candidates(name, points[name], lines, pattern) for name, lines in lines_by_gate.items()}


def _baselines(lines: Lines) -> list[float]:
    """Baselines of a label beside its gate: the name a little above the gate, the rest under it."""
    baselines = [-10.0 if len(lines) > 1 else 4.5]
    for _, style in lines[1:]:
        baselines.append(baselines[-1] + (style.size_px + 3.0 if style.size_px > 16.0 else 17.0))
    return baselines
