"""Which figures a page shows and how large they are; all are drawn by the one figure kit."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from volplane.domain.debrief.results import Attempt
from volplane.domain.exercise.plan import Plan
from volplane.domain.finding import Finding
from volplane.faces.documents import plan_words
from volplane.faces.documents.wording import Units
from volplane.faces.report.board import Frame
from volplane.faces.report.charts import (
    flown_against_plan_chart,
    glide_by_phase_chart,
    height_in_hand_chart,
)
from volplane.faces.report.cutouts import cutout, finding_chart
from volplane.faces.report.flown_board import path_legend, whiteboard_debrief
from volplane.faces.report.heights import HeightAxis, gate_ladder, height_profile
from volplane.faces.report.plan_board import whiteboard
from volplane.faces.report.wind_chart import wind_by_height

Size = tuple[float, float]

# sizes in px, by the page's grid: one for the desktop's two columns, one for the tablet's single one
BOARD = (560.0, 556.0)
PROFILE, LADDER = (350.0, 224.0), (246.0, 224.0)
PROFILE_TABLET, LADDER_TABLET = (446.0, 200.0), (276.0, 200.0)
DEBRIEF_BOARD, DEBRIEF_LADDER = (408.0, 460.0), (408.0, 320.0)
CUTOUT, CHART = (194.0, 184.0), (286.0, 184.0)
WIDE_CHART = (640.0, 240.0)
# side by side, as high as each other: they share their axis
WIND, WIND_LADDER = (316.0, 340.0), (308.0, 340.0)


class Layout(StrEnum):
    """Which of the two layouts the drawings are for; both, as long as nobody has said."""

    DESKTOP = "desktop"
    TABLET = "tablet"
    BOTH = "both"


@dataclass(frozen=True, slots=True)
class PlanFigures:
    """The drawings of the exercise page as SVG text; None for the layout that is not asked for."""

    board: str
    profile: str | None
    ladder: str | None
    profile_tablet: str | None
    ladder_tablet: str | None


@dataclass(frozen=True, slots=True)
class HeldScales:
    """The scales of the drawings on the page, kept while a gate is dragged."""

    board: Frame
    heights: HeightAxis


@dataclass(frozen=True, slots=True)
class FindingFigures:
    """A finding's piece of the whiteboard and the one chart that proves it; None where it has no place or no series."""

    cutout: str | None
    chart: str | None


@dataclass(frozen=True, slots=True)
class AttemptFigures:
    """The drawings of a lesson sheet as SVG text; None where the recording cannot answer."""

    board: str
    legend: str
    ladder: str
    wind: str | None
    wind_ladder: str | None
    height_in_hand: str | None
    against_plan: str | None
    glide_by_phase: str | None


def plan_figures(plan: Plan, units: Units, held: HeldScales | None = None, layout: Layout = Layout.BOTH) -> PlanFigures:
    """The drawings of the exercise page; at an infeasible path it is said what ends it."""
    frame, axis = (None, None) if held is None else (held.board, held.heights)
    words = None if plan.binding is None else plan_words.binding_text(plan.binding, units)

    def charts(profile_px: Size, ladder_px: Size, other: Layout) -> tuple[str | None, str | None]:
        if layout is other:
            return None, None
        profile = height_profile(plan, size_px=profile_px, units=units, held=axis)
        return profile, gate_ladder(plan, size_px=ladder_px, units=units, held=axis)

    profile, ladder = charts(PROFILE, LADDER, Layout.TABLET)
    profile_tablet, ladder_tablet = charts(PROFILE_TABLET, LADDER_TABLET, Layout.DESKTOP)
    board = whiteboard(plan, size_px=BOARD, units=units, binding_words=words, held_in=frame)
    return PlanFigures(board, profile, ladder, profile_tablet, ladder_tablet)


def finding_figures(attempt: Attempt, finding: Finding, units: Units) -> FindingFigures:
    """The cut-out and the one chart of a finding."""
    if finding.time_s is None:
        return FindingFigures(None, None)
    return FindingFigures(
        cutout=cutout(attempt, finding, size_px=CUTOUT, units=units),
        chart=finding_chart(attempt, finding, size_px=CHART, units=units),
    )


def attempt_figures(attempt: Attempt, units: Units) -> AttemptFigures:
    """Every drawing beside and below the findings."""
    axis = HeightAxis.of(attempt.plan, units, attempt.gates)
    has_hand, has_glide = attempt.height_in_hand is not None, attempt.glide is not None
    return AttemptFigures(
        board=whiteboard_debrief(attempt, size_px=DEBRIEF_BOARD, units=units),
        legend=path_legend(units=units),
        ladder=gate_ladder(attempt, size_px=DEBRIEF_LADDER, units=units),
        wind=wind_by_height(attempt, size_px=WIND, units=units, shared=axis) if attempt.wind else None,
        wind_ladder=gate_ladder(attempt, size_px=WIND_LADDER, units=units, held=axis) if attempt.wind else None,
        height_in_hand=height_in_hand_chart(attempt, size_px=WIDE_CHART, units=units) if has_hand else None,
        against_plan=flown_against_plan_chart(attempt, size_px=WIDE_CHART, units=units),
        glide_by_phase=glide_by_phase_chart(attempt, size_px=WIDE_CHART, units=units) if has_glide else None,
    )
