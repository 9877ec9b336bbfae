"""`volplane brief`: the kneeboard page of an exercise."""

from __future__ import annotations

import argparse
from pathlib import Path

from volplane.faces.cli import options, output

PAPERS = ("A5", "half-letter", "A4")
EXAMPLE = """\
  volplane brief exercise.toml -o card.pdf
  volplane brief exercise.toml -o card.pdf --reason "crosswind within the lesson's aim\""""


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
    parser.add_argument("--paper", choices=PAPERS, default="A5", help="the size of the page (default: %(default)s)")


def run(arguments: argparse.Namespace) -> int:
    """Plan, draw the page, write it."""
    from volplane import bootstrap
    from volplane.domain.exercise.hand_alter import hand_alterations
    from volplane.faces.documents.plan_words import finding_text
    from volplane.faces.documents.wording import IMPERIAL
    from volplane.faces.report.card import card_pdf
    from volplane.faces.report.refusals import CardNeedsReason

    output.refuse_destination(arguments.output, [arguments.exercise])
    exercise = bootstrap.load_exercise(Path(arguments.exercise))
    options.wait_for_kernels()
    plan = bootstrap.plan_exercise(exercise)
    reason = (arguments.reason or "").strip() or None
    try:
        pdf = card_pdf(plan, paper=arguments.paper, reason=reason, altered=hand_alterations(plan))
    except CardNeedsReason as refusal:
        for caution in refusal.cautions:
            output.say(f"Caution: {finding_text(caution, IMPERIAL)}")
        raise
    output.write_file(arguments.output, pdf)
    if arguments.json:
        output.write_json(
            {
                "schema": "volplane/brief/1",
                "file": arguments.output,
                "paper": arguments.paper,
                "bytes": len(pdf),
                "reason": reason,
            }
        )
    else:
        output.write(f"{arguments.output}: one page, {arguments.paper}, {len(pdf):,} bytes.")
    return 0
