"""The kneeboard card as PDF: one page, black on white, readable at arm's length; the same plan gives the same bytes."""

from __future__ import annotations

from collections.abc import Sequence

from volplane.domain.exercise.hand_alter import Alteration
from volplane.domain.exercise.plan import Plan
from volplane.domain.finding import Severity
from volplane.faces.documents.wording import IMPERIAL, Units
from volplane.faces.report.card_figures import (
    BOARD_PX,
    LARGE_BOARD_PX,
    LARGE_PROFILE_PX,
    PROFILE_PX,
    card_board,
    card_profile,
)
from volplane.faces.report.card_words import PhaseWords, card_data
from volplane.faces.report.refusals import CardNeedsReason, CardStopped
from volplane.faces.report.typesetting import PAPERS, Paper, Sheet

__all__ = ["PAPERS", "Paper", "card_pdf", "card_sheet", "refuse_unfit"]


def card_pdf(
    plan: Plan,
    *,
    paper: Paper = "A5",
    reason: str | None = None,
    trainee: str | None = None,
    units: Units = IMPERIAL,
    words: PhaseWords | None = None,
    altered: Sequence[Alteration] = (),
) -> bytes:
    """The card of a plan as PDF bytes; see `card_sheet`."""
    return card_sheet(
        plan, paper=paper, reason=reason, trainee=trainee, units=units, words=words, altered=altered
    ).pdf()


def card_sheet(
    plan: Plan,
    *,
    paper: Paper = "A5",
    reason: str | None = None,
    trainee: str | None = None,
    units: Units = IMPERIAL,
    words: PhaseWords | None = None,
    altered: Sequence[Alteration] = (),
) -> Sheet:
    """The card of a plan, ready to be typeset. `reason` is the instructor's for flying with cautions, printed small;
    `altered` are the plan's hand alterations.

    :raises CardStopped: the plan holds a stop or is infeasible.
    :raises CardNeedsReason: the plan holds cautions and no reason is given.
    :raises CardTooLong: the instructor's words do not fit on one page.
    """
    refuse_unfit(plan, reason)
    data = card_data(plan, reason, trainee, units, _own_words() if words is None else words, altered)
    board_px, profile_px = drawing_sizes_px(paper)
    data |= {
        "board": card_board(plan, units, board_px),
        "profile": card_profile(plan, profile_px),
        "board_width": board_px[0],
    }
    return Sheet("card.typ", data, paper)


def drawing_sizes_px(paper: Paper) -> tuple[tuple[float, float], tuple[float, float]]:
    """How large board and profile are drawn: larger where the paper has the room."""
    return (LARGE_BOARD_PX, LARGE_PROFILE_PX) if paper == "A4" else (BOARD_PX, PROFILE_PX)


def refuse_unfit(plan: Plan, reason: str | None) -> None:
    """Refuse a plan nobody should fly from, and one whose cautions have no reason."""
    stops = tuple(finding for finding in plan.findings if finding.severity is Severity.STOP)
    if stops or not plan.feasible:
        raise CardStopped(stops, plan.binding)
    cautions = tuple(finding for finding in plan.findings if finding.severity is Severity.CAUTION)
    if cautions and not (reason and reason.strip()):
        raise CardNeedsReason(cautions)


def _own_words() -> PhaseWords:
    from volplane.faces.documents import plan_words

    return plan_words
