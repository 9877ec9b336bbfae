"""A figure of every exercise, one column each in the order they were flown: what it was over time.

A landing is a filled dot, a go-around an open one, a discontinued exercise a cross that enters no figure: the scale is
that of the others, and a cross beyond it stands on the edge.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from volplane.domain.debrief.results import Outcome
from volplane.faces.documents import wording
from volplane.faces.documents.wording import IMPERIAL, Scale, Units
from volplane.faces.report import axes, svg, tokens
from volplane.faces.report.axes import Plot
from volplane.faces.report.boxes import Box
from volplane.faces.report.chart_marks import left_out
from volplane.faces.report.lettering import NOTE
from volplane.faces.report.svg import Drawing, Element, Point
from volplane.faces.report.tokens import Colour, Theme
from volplane.services.progress import FlownExercise

OVER_TIME_PX = (560.0, 190.0)
KEY_WORDS = "filled: landed; open: went around; cross: discontinued, not counted"
_LEFT_PX, _TOP_PX, _FOOT_PX = 52.0, 26.0, 26.0

Value = Callable[[FlownExercise], float | None]


def over_time(
    name: str,
    words: str,
    exercises: Sequence[FlownExercise],
    value_of: Value,
    *,
    scale: Scale | None = None,
    size_px: tuple[float, float] = OVER_TIME_PX,
    units: Units = IMPERIAL,
    theme: Theme = Theme.PAGE,
) -> str:
    """One SI figure of each exercise as SVG; nought is a line in ink, exercises without the figure leave a gap."""
    unit = units.height if scale is None else scale
    title = f"{words}, {unit.unit}"
    values = [(index, each, value) for index, each in enumerate(exercises) if (value := value_of(each)) is not None]
    if not values:
        return axes.nothing_to_show(name, title, "Not observed in any exercise yet.", size_px).svg(theme)
    figures = [unit.value(value) for _, _, value in values]
    counted = [
        figure
        for (_, each, _), figure in zip(values, figures, strict=True)
        if each.attempt.outcome != Outcome.DISCONTINUED
    ]
    low, high = axes.rounded_out(min([0.0, *counted]), max([0.0, *counted]), 4)
    area = Box(_LEFT_PX, _TOP_PX, size_px[0] - 12.0, size_px[1] - _FOOT_PX)
    frame = axes.plot(area, (-0.5, max(len(exercises) - 0.5, 4.5)), (low, high))
    marks = [
        _mark(frame.at(float(index), min(max(figure, frame.up.low), frame.up.high)), each)
        for (index, each, _), figure in zip(values, figures, strict=True)
    ]
    parts = (
        axes.title(title),
        *axes.grid(frame, axes.ticks(low, high, 4)),
        *_dates(frame, exercises),
        *marks,
    )
    said = (
        f"{title}: {wording.listed([unit.figure(value) for _, _, value in values])}, in the order flown. {KEY_WORDS}."
    )
    return Drawing(name, *size_px, title, said, parts, {"figure": name}).svg(theme)


def _mark(at: Point, exercise: FlownExercise) -> Element:
    outcome = exercise.attempt.outcome
    if outcome == Outcome.DISCONTINUED:
        arm = 3.5
        return svg.group(
            svg.line((at[0] - arm, at[1] - arm), (at[0] + arm, at[1] + arm), Colour.SOFT, tokens.FURNITURE_PX),
            svg.line((at[0] - arm, at[1] + arm), (at[0] + arm, at[1] - arm), Colour.SOFT, tokens.FURNITURE_PX),
            class_="discontinued",
        )
    if outcome == Outcome.WENT_AROUND:
        return left_out(at)
    return svg.circle(at, tokens.DOT_RADIUS_PX, fill=Colour.INK, class_="dot")


def _dates(frame: Plot, exercises: Sequence[FlownExercise]) -> list[Element]:
    """Each day once under its first exercise, where there is room."""
    parts: list[Element] = []
    free_from, last = 0.0, ""
    for index, each in enumerate(exercises):
        words = wording.utc_date(each.attempt.start_unix_s, with_year=False)
        across = frame.across.px(float(index))
        if words == last or across < free_from:
            continue
        last, free_from = words, across + NOTE.width_px(words) + 10.0
        bottom = frame.area.bottom
        parts.append(svg.line((across, bottom + 3.0), (across, bottom + 7.0), Colour.SOFT, tokens.RULE_PX))
        parts.append(svg.text((across - 4.0, bottom + 20.0), words, NOTE))
    return parts
