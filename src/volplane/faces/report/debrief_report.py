"""The report of a debrief as PDF: what mattered first, what stands behind it second, how it is known as an appendix."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from volplane.domain.debrief.results import Attempt, Debrief
from volplane.domain.finding import Finding
from volplane.faces.documents import debrief_words, wording
from volplane.faces.documents.wording import IMPERIAL, Units
from volplane.faces.report.charts import flown_against_plan_chart, glide_by_phase_chart, height_in_hand_chart
from volplane.faces.report.cutouts import cutout, finding_chart
from volplane.faces.report.debrief_parts import behind_the_findings, how_it_is_known
from volplane.faces.report.flown_board import path_legend, whiteboard_debrief
from volplane.faces.report.heights import gate_ladder
from volplane.faces.report.tokens import Theme
from volplane.faces.report.typesetting import Paper, Sheet
from volplane.faces.report.wind_chart import wind_by_height

SHOWN_FINDINGS = 3
_BOARD, _LADDER = (330.0, 400.0), (408.0, 320.0)
_CUTOUT, _CHART, _HALF_PAGE = (150.0, 142.0), (286.0, 150.0), (358.0, 210.0)


@dataclass(frozen=True, slots=True)
class ReportPeople:
    """Who flew and who taught, by name, and the trainee's own view of each exercise as answers by question.

    All of it may be missing; an exercise beyond the end of `own_views` was not asked about.
    """

    trainee: str | None = None
    instructor: str | None = None
    own_views: tuple[tuple[tuple[str, str], ...], ...] = ()


def debrief_report_pdf(
    debrief: Debrief, people: ReportPeople | None = None, *, paper: Paper = "A4", units: Units = IMPERIAL
) -> bytes:
    """Every exercise flown in a recording, two pages and an appendix each; the same debrief gives the same bytes."""
    known = people or ReportPeople()
    lessons = [_lesson(debrief, number, known, units) for number in range(len(debrief.attempts))]
    data = {"lessons": lessons or [_nothing(debrief, known)], "caution": list(wording.CAUTION_LINES)}
    return Sheet("debrief_report.typ", data, paper).pdf()


def _lesson(debrief: Debrief, number: int, people: ReportPeople, units: Units) -> dict[str, Any]:
    attempt = debrief.attempts[number]
    theme = Theme.PRINT
    return {
        "who": _who(debrief, people, number),
        "headline": debrief_words.headline(attempt, units),
        "subline": debrief_words.subline(attempt, units),
        "own": [list(pair) for own in people.own_views[number : number + 1] for pair in own],
        "findings": [_finding(attempt, finding, units) for finding in attempt.findings[:SHOWN_FINDINGS]],
        "board": whiteboard_debrief(attempt, size_px=_BOARD, units=units, theme=theme),
        "legend": path_legend(units=units, theme=theme),
        "ladder": gate_ladder(attempt, size_px=_LADDER, units=units, theme=theme),
        "parts": [part.data() for part in behind_the_findings(attempt, units)],
        "charts": _charts(attempt, units),
        "known": [part.data() for part in how_it_is_known(debrief, number, units)],
    }


def _nothing(debrief: Debrief, people: ReportPeople) -> dict[str, Any]:
    """A recording without an exercise in it says so on one page."""
    empty: dict[str, Any] = {key: [] for key in ("own", "findings", "parts", "charts", "known")}
    said = "No exercise was found in this recording."
    pictures = dict.fromkeys(("board", "legend", "ladder"), "")
    return {**empty, **pictures, "who": _who(debrief, people, 0), "headline": said, "subline": ""}


def _who(debrief: Debrief, people: ReportPeople, number: int) -> str:
    names = " with ".join(filter(None, (people.trainee, people.instructor)))
    parts = [names, wording.utc_date(debrief.recording.start_unix_s)]
    if debrief.attempts:
        exercise = debrief.attempts[number].plan.exercise
        parts.append(f"{exercise.airplane.name}, {exercise.airfield.name}, runway {exercise.runway.name}")
    if len(debrief.attempts) > 1:
        parts.append(f"exercise {number + 1} of {len(debrief.attempts)}")
    return ". ".join(filter(None, parts)) + "."


def _finding(attempt: Attempt, finding: Finding, units: Units) -> dict[str, str]:
    has_place = finding.time_s is not None
    return {
        "title": debrief_words.finding_title(finding, units),
        "text": debrief_words.finding_text(finding, units),
        "next": debrief_words.next_time(finding, units),
        "cutout": cutout(attempt, finding, size_px=_CUTOUT, units=units, theme=Theme.PRINT) if has_place else "",
        "chart": finding_chart(attempt, finding, size_px=_CHART, units=units, theme=Theme.PRINT) if has_place else "",
    }


def _charts(attempt: Attempt, units: Units) -> list[str]:
    """The charts over the whole exercise; what the recording cannot show has none."""
    how: dict[str, Any] = {"size_px": _HALF_PAGE, "units": units, "theme": Theme.PRINT}
    charts = []
    if attempt.height_in_hand is not None:
        charts += [height_in_hand_chart(attempt, **how), flown_against_plan_chart(attempt, **how)]
    if attempt.glide is not None:
        charts.append(glide_by_phase_chart(attempt, **how))
    if attempt.wind:
        charts.append(wind_by_height(attempt, **how))
    return charts
