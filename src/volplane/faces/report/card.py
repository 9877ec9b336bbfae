"""The kneeboard card as PDF: one page, black on white, readable at arm's length; the same plan gives the same bytes."""

from __future__ import annotations

import json
import pathlib
from collections.abc import Sequence
from typing import Literal

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
from volplane.faces.report.lettering import FONTS_FOLDER
from volplane.faces.report.refusals import CardNeedsReason, CardStopped, CardTooLong

Paper = Literal["A5", "half-letter", "A4"]
PAPERS: tuple[Paper, ...] = ("A5", "half-letter", "A4")
_TEMPLATE = pathlib.Path(__file__).parent / "card.typ"


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
    """The card of a plan as PDF bytes. `reason` is the instructor's for flying with cautions, printed small;
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
    return _typeset({"card": json.dumps(data, ensure_ascii=False), "paper": paper}, paper)


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


def _typeset(inputs: dict[str, str], paper: Paper) -> bytes:
    """Run the typesetter on the template, with the faces of this package and no others."""
    import typst

    try:
        pdf = typst.compile(
            str(_TEMPLATE),
            root=str(_TEMPLATE.parent),
            font_paths=[str(FONTS_FOLDER)],
            ignore_system_fonts=True,
            sys_inputs=inputs,
            format="pdf",
        )
    except typst.TypstError as fault:
        if "card-too-long" in str(fault):
            raise CardTooLong(paper) from None
        raise
    return pdf


def _own_words() -> PhaseWords:
    from volplane.faces.documents import plan_words

    return plan_words
