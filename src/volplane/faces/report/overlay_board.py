"""Up to four exercises flown on one whiteboard: told apart by the kind of line, each named at its line."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from volplane.domain.debrief.results import Attempt
from volplane.faces.documents.wording import IMPERIAL, Units
from volplane.faces.report import board, board_notes, flown_board, ink, lettering, svg, tokens
from volplane.faces.report.board import Frame, RunwayOutline, WindBlock
from volplane.faces.report.boxes import Candidate, Placer, single
from volplane.faces.report.fitting import Subject, fitted
from volplane.faces.report.svg import Drawing, Element
from volplane.faces.report.tokens import Colour, Theme

OVERLAY_BOARD_PX = (560.0, 556.0)
NAMES = ("A", "B", "C", "D")
# whole, dashed, dotted, long and short: told apart without colour and in print
DASHES: tuple[str | None, ...] = (None, "9 3.5", "3 3", "14 4 2 4")
_LINE_WIDTH_PX, _LINE_HEIGHT_PX = 44.0, 12.0


def overlay_board(
    attempts: Sequence[Attempt],
    *,
    size_px: tuple[float, float] = OVERLAY_BOARD_PX,
    units: Units = IMPERIAL,
    theme: Theme = Theme.PAGE,
) -> str:
    """The exercises laid over each other as SVG, landing direction up, each from the touchdown point of its runway."""
    first = attempts[0]
    outline = RunwayOutline.of(first.plan.exercise)
    paths = [(attempt.path.x_m, attempt.path.y_m) for attempt in attempts]
    subject = Subject(outline, paths, {}, {}, first.pattern, WindBlock("", []))
    fit = fitted(subject, size_px)
    placer = fit.placer(subject, size_px)
    along_m = np.concatenate([x_m for x_m, _ in paths])
    corners = board_notes.Corners(placer, first.pattern, size_px)
    runway_name = board_notes.runway_number(placer, fit.frame, outline, first.pattern)
    scale = corners.scale(*board.scale_bar(fit.frame, units))
    lines = [
        part
        for attempt, dash in zip(attempts, DASHES, strict=False)
        for part in (_line(attempt, fit.frame, dash), *flown_board.beads(attempt, fit.frame))
    ]
    dots = [dot for attempt in attempts for dot in flown_board.flown_dots(attempt, fit.frame)]
    return Drawing(
        name="whiteboard-overlay",
        width_px=size_px[0],
        height_px=size_px[1],
        title=f"Whiteboard: {len(attempts)} exercises laid over each other, runway {outline.name}",
        description="Landing direction up. Each exercise has its own kind of line and its letter at the line.",
        parts=(
            *board.centreline(fit.frame, outline, float(along_m.min()), float(along_m.max())),
            *board.runway(fit.frame, outline),
            board.touchdown_bar(fit.frame),
            *lines,
            *dots,
            *scale,
            *runway_name,
            *_names(attempts, fit.frame, placer),
        ),
        data={"figure": "whiteboard-overlay", **fit.frame.data()},
    ).svg(theme)


def overlay_line(number: int, *, theme: Theme = Theme.PAGE) -> str:
    """A piece of the line of one exercise, for the table beside the board."""
    middle = _LINE_HEIGHT_PX / 2.0
    line = svg.polyline(
        [(0.0, middle), (_LINE_WIDTH_PX, middle)], Colour.INK, tokens.PATH_PX, dash=DASHES[number % len(DASHES)]
    )
    words = f"The line of exercise {NAMES[number % len(NAMES)]}"
    return Drawing(f"overlay-line-{number}", _LINE_WIDTH_PX, _LINE_HEIGHT_PX, words, words, (line,), {}).svg(theme)


def _line(attempt: Attempt, frame: Frame, dash: str | None) -> Element:
    points = ink.thinned(frame.points(attempt.path.x_m, attempt.path.y_m))
    return svg.polyline(points, Colour.INK, tokens.PATH_PX, dash=dash, class_="path flown")


def _names(attempts: Sequence[Attempt], frame: Frame, placer: Placer) -> list[Element]:
    """The letter of each exercise at its line, at another part of the way each, outside first."""
    parts: list[Element] = []
    for number, attempt in enumerate(attempts):
        path = attempt.path
        label = single(NAMES[number], lettering.TITLE, "middle")
        candidates = []
        for share in (0.30, 0.42, 0.55, 0.66):
            row = round((share + 0.03 * number) * (len(path.time_s) - 1))
            at = frame.px(float(path.x_m[row]), float(path.y_m[row]))
            outward = float(path.track_rad[row]) - attempt.pattern.sign * math.pi / 2.0
            for away in (13.0, -13.0, 22.0, -22.0):
                place = (at[0] - away * math.sin(outward), at[1] - away * math.cos(outward) + 4.5)
                candidates.append(Candidate(label, place))
        found = placer.place_surely(candidates)
        parts += found.label.drawn(found.at)
    return parts
