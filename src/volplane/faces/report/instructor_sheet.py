"""The instructor sheet as PDF: what the card leaves out because nobody can read it in flight."""

from __future__ import annotations

from collections.abc import Sequence

from volplane.domain.exercise.hand_alter import Alteration
from volplane.domain.exercise.plan import Plan
from volplane.faces.documents.wording import IMPERIAL, Units
from volplane.faces.report.card import refuse_unfit
from volplane.faces.report.instructor_words import sheet_data
from volplane.faces.report.typesetting import Paper, Sheet
from volplane.services.standing_in import StandInAnswer


def instructor_sheet_pdf(
    plan: Plan,
    *,
    paper: Paper = "A4",
    reason: str | None = None,
    trainee: str | None = None,
    units: Units = IMPERIAL,
    altered: Sequence[Alteration] = (),
    stand_in: StandInAnswer | None = None,
) -> bytes:
    """The sheet of a plan as PDF bytes; see `instructor_sheet`."""
    return instructor_sheet(
        plan, paper=paper, reason=reason, trainee=trainee, units=units, altered=altered, stand_in=stand_in
    ).pdf()


def instructor_sheet(
    plan: Plan,
    *,
    paper: Paper = "A4",
    reason: str | None = None,
    trainee: str | None = None,
    units: Units = IMPERIAL,
    altered: Sequence[Alteration] = (),
    stand_in: StandInAnswer | None = None,
) -> Sheet:
    """The sheet of a plan, ready to be typeset: one page of A4, two of the smaller papers.

    `altered` are the plan's hand alterations, `stand_in` how honest its stand-in is, None where it has none.

    :raises CardStopped: the plan holds a stop or is infeasible.
    :raises CardNeedsReason: the plan holds cautions and no reason is given.
    """
    refuse_unfit(plan, reason)
    data = sheet_data(plan, reason, trainee, units, altered, stand_in)
    return Sheet("instructor_sheet.typ", data, paper)
