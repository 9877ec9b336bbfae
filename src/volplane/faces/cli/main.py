"""The program `volplane`: one parser, one place where every ending becomes an exit code.

Nothing heavy is imported here or at the top of a command's module: `volplane --help` answers at once, and the libraries
a command needs are imported when it runs.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Sequence

from volplane import __version__
from volplane.faces.cli import (
    airfields,
    airspeed,
    backup,
    batch,
    brief,
    check,
    debrief,
    demo,
    export,
    import_,
    measure,
    output,
    people,
    plan,
    restore,
    standin,
)
from volplane.faces.cli import serve as serve_command

COMMANDS = (
    demo,
    serve_command,
    check,
    plan,
    brief,
    debrief,
    measure,
    airspeed,
    standin,
    airfields,
    batch,
    import_,
    people,
    export,
    backup,
    restore,
)
DESCRIPTION = "The workbench of a flight instructor who teaches engine-out glides."
EPILOG = """\
training aid, not for navigation, and no substitute for the approved flight manual

the whole job once, on invented data:
  volplane demo
"""


def main(argv: Sequence[str] | None = None, serve: Callable[..., None] | None = None) -> int:
    """Run one command and give back its exit code: 0 done, 1 refused, 2 wrong usage, 3 our own fault, 130 stopped.

    `serve(host, port, workbench, say)` serves the workbench; it is handed in because the terminal and the pages do not
    know each other.
    """
    output.never_fail_on_letters()
    arguments = argparse.Namespace(json=False, serve_workbench=serve)
    try:
        build_parser().parse_args(argv, arguments)
        code: int = arguments.run(arguments)
        output.flush()
    except SystemExit as ending:
        # how argparse ends after --help and after wrong usage
        return output.flushed(int(ending.code or 0))
    except (Exception, KeyboardInterrupt) as fault:
        from volplane.faces.cli import faults

        return faults.answered(fault, as_json=bool(getattr(arguments, "json", False)))
    return code


def build_parser() -> argparse.ArgumentParser:
    """The parser of the program with one parser a command."""
    parser = argparse.ArgumentParser(
        prog="volplane",
        description=DESCRIPTION,
        epilog=EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    parser.add_argument("--version", action="version", version=f"volplane {__version__}")
    commands = parser.add_subparsers(title="commands", metavar="COMMAND", required=True)
    for command in COMMANDS:
        command.add_parser(commands)
    return parser


if __name__ == "__main__":
    sys.exit(main())
