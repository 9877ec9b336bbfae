"""`volplane brief`: the kneeboard page of an exercise, or the sheet of everything the instructor wants beside it."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from volplane.faces.cli import options, output

if TYPE_CHECKING:
    from volplane.domain.exercise.exercise import Exercise
    from volplane.domain.exercise.plan import Plan

PAPERS = ("A5", "half-letter", "A4")
CARD, INSTRUCTOR = "card", "instructor"
EXAMPLE = """\
  volplane brief exercise.toml -o card.pdf
  volplane brief exercise.toml -o card.pdf --reason "crosswind within the lesson's aim"
  volplane brief exercise.toml -o sheet.pdf --sheet instructor --paper A4 --runs 10000"""


def add_parser(commands: options.Commands[argparse.ArgumentParser]) -> None:
    """Add the command."""
    about = "print the kneeboard page of an exercise as PDF; a stop prints none, a caution needs a reason"
    parser = options.command(commands, "brief", run, about, EXAMPLE)
    parser.add_argument("exercise", help="the exercise file")
    parser.add_argument(
        "-o", "--output", metavar="CARD.pdf", required=True, type=options.file_ending(".pdf"), help="the file to write"
    )
    parser.add_argument(
        "--reason", metavar="TEXT", help="why the exercise is flown in spite of its cautions; printed on the page"
    )
    parser.add_argument(
        "--sheet",
        choices=(CARD, INSTRUCTOR),
        default=CARD,
        help="the trainee's card, or what the instructor wants to know beside it (default: %(default)s)",
    )
    parser.add_argument("--paper", choices=PAPERS, default="A5", help="the size of the page (default: %(default)s)")
    parser.add_argument(
        "--compare", action="store_true", help="on the instructor sheet: every runway and both sides, one recommended"
    )
    options.add_dispersion_options(parser)


def run(arguments: argparse.Namespace) -> int:
    """Plan, draw the page, write it."""
    from volplane import bootstrap

    _refuse_what_no_card_tells(arguments)
    output.refuse_destination(arguments.output, [arguments.exercise])
    exercise = bootstrap.load_exercise(Path(arguments.exercise))
    options.wait_for_kernels()
    plan = _planned(exercise, arguments)
    reason = (arguments.reason or "").strip() or None
    pdf = _printed(plan, reason, arguments)
    output.write_file(arguments.output, pdf)
    if arguments.json:
        output.write_json(
            {
                "schema": "volplane/brief/1",
                "file": arguments.output,
                "sheet": arguments.sheet,
                "paper": arguments.paper,
                "bytes": len(pdf),
                "reason": reason,
            }
        )
    else:
        page = "one page" if arguments.sheet == CARD else "the instructor sheet"
        output.write(f"{arguments.output}: {page}, {arguments.paper}, {len(pdf):,} bytes.")
    return 0


def _refuse_what_no_card_tells(arguments: argparse.Namespace) -> None:
    """A card tells neither how a plan comes out nor what other runways would do."""
    if arguments.sheet == INSTRUCTOR:
        return
    if arguments.runs is not None:
        arguments.wrong_usage("argument --runs: how a plan comes out stands on --sheet instructor only")
    if arguments.compare:
        arguments.wrong_usage("argument --compare: other runways stand on --sheet instructor only")


def _planned(exercise: Exercise, arguments: argparse.Namespace) -> Plan:
    from volplane import bootstrap

    if arguments.runs is None:
        plan = bootstrap.plan_exercise(exercise)
    else:
        plan = bootstrap.plan_dispersed(exercise, arguments.runs, arguments.seed)
    if arguments.sheet == INSTRUCTOR:
        plan = bootstrap.with_ways(plan)
    return bootstrap.with_comparison(plan) if arguments.compare else plan


def _printed(plan: Plan, reason: str | None, arguments: argparse.Namespace) -> bytes:
    """The page; what keeps it from being printed is said in full before it is refused."""
    from volplane.domain.exercise.hand_alter import hand_alterations
    from volplane.faces.documents import plan_words
    from volplane.faces.documents.wording import IMPERIAL
    from volplane.faces.report.card import card_pdf, refuse_unfit
    from volplane.faces.report.instructor_sheet import instructor_sheet_pdf
    from volplane.faces.report.refusals import CardNeedsReason, CardStopped
    from volplane.services.standing_in import stand_in_of

    try:
        refuse_unfit(plan, reason)
    except CardNeedsReason as refusal:
        for caution in refusal.cautions:
            output.say(f"Caution: {plan_words.finding_text(caution, IMPERIAL)}")
        raise
    except CardStopped:
        for lever in plan.levers:
            output.say(f"This would help: {plan_words.lever_text(lever, IMPERIAL)}.")
        raise
    altered = hand_alterations(plan)
    if arguments.sheet == CARD:
        return card_pdf(plan, paper=arguments.paper, reason=reason, altered=altered)
    stand_in = stand_in_of(plan.exercise)
    return instructor_sheet_pdf(plan, paper=arguments.paper, reason=reason, altered=altered, stand_in=stand_in)
