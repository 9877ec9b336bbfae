"""A lesson plan as PDF."""

from __future__ import annotations

from typing import Any

from volplane.domain.finding import Severity
from volplane.faces.documents import wording
from volplane.faces.documents.lesson_plan import Section, lesson_sections, lesson_title, lesson_under
from volplane.faces.documents.wording import IMPERIAL, Units
from volplane.faces.report.refusals import CardStopped
from volplane.faces.report.typesetting import Paper, typeset
from volplane.services.lesson_plans import LessonPlan


def lesson_plan_pdf(lesson: LessonPlan, *, trainee: str = "", paper: Paper = "A4", units: Units = IMPERIAL) -> bytes:
    """The plan as PDF bytes.

    :raises CardStopped: the exercise holds a stop or is not possible: no lesson is taught from it.
    """
    refuse_stopped(lesson)
    data = {
        "title": lesson_title(lesson),
        "under": lesson_under(lesson, trainee, units),
        "parts": [part_of(each) for each in lesson_sections(lesson, units)],
        "signatures": [],
        "declaration": "",
        "caution": list(wording.CAUTION_LINES),
    }
    return typeset("lesson.typ", data, paper)


def refuse_stopped(lesson: LessonPlan) -> None:
    """Refuse a lesson on an exercise nobody should fly. :raises CardStopped: it holds a stop or is not possible."""
    stops = tuple(finding for finding in lesson.plan.findings if finding.severity is Severity.STOP)
    if stops or not lesson.plan.feasible:
        raise CardStopped(stops, lesson.plan.binding)


def part_of(section: Section) -> dict[str, Any]:
    """A section for the typesetter."""
    kind = "table" if section.heads else "lines" if section.is_lines else "entries"
    return {
        "kind": kind,
        "title": section.title,
        "heads": list(section.heads),
        "wide": 0,
        "rows": [list(row) for row in section.rows],
        "notes": list(section.notes),
    }
