"""`volplane check`: are the files sound, and do their figures agree with each other?"""

from __future__ import annotations

import argparse

from volplane.faces.cli import options, output

EXAMPLE = "  volplane check dunlin_tourer.toml quill_meadow.toml exercise.toml"


def add_parser(commands: options.Commands[argparse.ArgumentParser]) -> None:
    """Add the command."""
    about = "check airplane, airfield and exercise files, and whether their figures contradict each other"
    parser = options.command(commands, "check", run, about, EXAMPLE)
    parser.add_argument("file", nargs="+", help="the files to check")


def run(arguments: argparse.Namespace) -> int:
    """Check every file; refused when one of them cannot be used."""
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
