"""`volplane check`: are the files sound, and do their figures agree with each other? Is the store sound?"""

from __future__ import annotations

import argparse

from volplane.faces.cli import options, output, store_options

EXAMPLE = "  volplane check dunlin_tourer.toml quill_meadow.toml exercise.toml\n  volplane check --database"


def add_parser(commands: options.Commands[argparse.ArgumentParser]) -> None:
    """Add the command."""
    about = "check airplane, airfield and exercise files and whether their figures contradict each other, or the store"
    parser = options.command(commands, "check", run, about, EXAMPLE)
    parser.add_argument("file", nargs="*", help="the files to check")
    parser.add_argument(
        "--database",
        metavar="ADDRESS",
        nargs="?",
        const="",
        help=f"look through the store instead; {store_options.HELP}",
    )
    parser.add_argument(
        "--recompute", action="store_true", help="with --database: make every debrief again and compare"
    )


def run(arguments: argparse.Namespace) -> int:
    """Check every file, or the store; refused when one of them cannot be used."""
    if arguments.database is not None:
        if arguments.file:
            arguments.wrong_usage("--database looks through the store: leave out the files")
        return _check_store(arguments)
    if not arguments.file or arguments.recompute:
        arguments.wrong_usage("--recompute goes with --database" if arguments.file else "name the files to check")
    from volplane import bootstrap
    from volplane.faces.documents.check import check_document, check_text
    from volplane.faces.documents.problems import EXIT_DONE, EXIT_REFUSED, sentence_of

    files = bootstrap.check_files(tuple(arguments.file))
    for problem in (problem for each in files for problem in each.problems):
        output.say(sentence_of(problem))
    if arguments.json:
        output.write_json(check_document(files))
    else:
        output.write(output.without_control(check_text(files)))
    return EXIT_DONE if all(each.is_accepted for each in files) else EXIT_REFUSED


def _check_store(arguments: argparse.Namespace) -> int:
    from volplane import bootstrap
    from volplane.faces.documents.debrief import debrief_document
    from volplane.faces.documents.problems import EXIT_DONE, EXIT_REFUSED
    from volplane.faces.documents.store import checked_document, checked_text, fault_sentence

    if arguments.recompute:
        options.wait_for_kernels()
    document = debrief_document if arguments.recompute else None
    checked = bootstrap.check_store(arguments.database or None, document, output.progress())
    for fault in checked.faults:
        output.say(fault_sentence(fault))
    if arguments.json:
        output.write_json(checked_document(checked))
    else:
        output.write(output.without_control(checked_text(checked)))
    return EXIT_DONE if checked.is_sound else EXIT_REFUSED
