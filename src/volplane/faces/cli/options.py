"""What several commands share: how a parser is made, quantities and file names on the command line, the first wait."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from volplane.domain.exercise.uncertainties import FEWEST_RUNS, LARGEST_SEED, MOST_RUNS
from volplane.faces.cli import output

if TYPE_CHECKING:
    from volplane.errors import Problem
    from volplane.services.quantities import Kind

Commands = argparse._SubParsersAction  # the name argparse gives to what add_subparsers returns
Run = Callable[[argparse.Namespace], int]
T = TypeVar("T")

COMMAND_LINE = "command line"
JSON_HELP = "print the machine-readable document, and nothing else, on standard output"
FIRST_RUN = "Compiling the numerical kernels, once: about half a minute."


def command(
    commands: Commands[argparse.ArgumentParser], name: str, run: Run, about: str, example: str, *, has_json: bool = True
) -> argparse.ArgumentParser:
    """The parser of a command with its example and `--json`, to which the command adds what it takes."""
    parser = commands.add_parser(
        name,
        help=about,
        description=about[:1].upper() + about[1:] + ".",
        epilog=f"example:\n{example}",
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    if has_json:
        parser.add_argument("--json", action="store_true", help=JSON_HELP)
    parser.set_defaults(run=run, wrong_usage=parser.error)
    return parser


def file_ending(*endings: str) -> Callable[[str], str]:
    """Takes the name of a file to write, and only one that ends as such files do."""

    def named(text: str) -> str:
        if Path(text).suffix.lower() not in endings:
            wanted = " or ".join(filter(None, (", ".join(endings[:-1]), endings[-1])))
            raise argparse.ArgumentTypeError(f"{text!r} does not end in {wanted}")
        return text

    return named


def refuse_mixed_exercise(arguments: argparse.Namespace) -> None:
    """An exercise, or all three of airplane, airfield and runway; never both."""
    parts = {f"--{name}": getattr(arguments, name) for name in ("airplane", "airfield", "runway")}
    given = [option for option, value in parts.items() if value is not None]
    if arguments.exercise is not None and given:
        arguments.wrong_usage(f"--exercise brings its own airplane, airfield and runway: leave out {' '.join(given)}")
    if arguments.exercise is None and len(given) < len(parts):
        missing = " ".join(option for option in parts if option not in given)
        wanted = f"{missing} is missing" if given else "give --exercise, or --airplane, --airfield and --runway"
        arguments.wrong_usage(wanted)


def add_dispersion_options(parser: argparse.ArgumentParser) -> None:
    """Add what asks for many flights of the plan."""
    parser.add_argument(
        "--runs",
        metavar="N",
        type=_runs,
        help=f"fly the plan N times ({FEWEST_RUNS} to {MOST_RUNS}) with a pilot who errs and corrects; for instructors",
    )
    parser.add_argument("--seed", metavar="N", type=_seed, default=1, help="start of the random numbers (default: 1)")


def _runs(text: str) -> int:
    return _whole(text, FEWEST_RUNS, MOST_RUNS)


def _seed(text: str) -> int:
    return _whole(text, 0, LARGEST_SEED)


def _whole(text: str, least: int, most: int) -> int:
    if not (text.isascii() and text.isdigit() and least <= int(text[:12]) <= most):
        raise argparse.ArgumentTypeError(f"{text!r}: write a whole number from {least} to {most}")
    return int(text)


class TypedQuantities:
    """Quantities typed on the command line, read with every problem kept until all are read."""

    def __init__(self) -> None:
        self._problems: list[Problem] = []

    def quantity_si(self, option: str, typed: str | None, kind: Kind) -> float | None:
        """The SI value of an option, None where it was not given or cannot be read."""
        from volplane.services.quantities import read_quantity

        return None if typed is None else self._read(option, lambda: read_quantity(typed, kind))

    def wind(self, option: str, typed: str | None) -> tuple[float, float] | None:
        """Direction from and speed of a wind, None where it was not given or cannot be read."""
        from volplane.services.quantities import read_wind

        return None if typed is None else self._read(option, lambda: read_wind(typed))

    def refuse_bad_ones(self) -> None:
        """Raise every problem found.

        :raises FilesRefused: there is one.
        """
        from volplane.errors import FilesRefused

        if self._problems:
            raise FilesRefused(tuple(self._problems))

    def _read(self, option: str, read: Callable[[], T]) -> T | None:
        from volplane.errors import Problem
        from volplane.services.quantities import QuantityNotUnderstood

        try:
            return read()
        except QuantityNotUnderstood as bad:
            code = f"quantity-{bad.cause}"
            self._problems.append(Problem(COMMAND_LINE, option, bad.found, bad.expected, bad.remedy, code))
            return None


def wait_for_kernels() -> None:
    """Say what the first command on a machine waits for, and do it: compile every kernel into the cache."""
    from volplane.compiled import cache_is_warm

    if not cache_is_warm():
        from volplane import bootstrap

        output.say(FIRST_RUN)
        bootstrap.warm_kernels()


def port_number(text: str) -> int:
    """A port somebody may listen on."""
    if not (text.isascii() and text.isdigit() and 1 <= int(text[:6]) <= 65535):
        raise argparse.ArgumentTypeError(f"{text!r} is no port: write a number from 1 to 65535")
    return int(text)


def add_database(parser: argparse.ArgumentParser) -> None:
    """Add the choice of the store."""
    parser.add_argument(
        "--database",
        metavar="ADDRESS",
        help="the store: a file or postgresql://... (default: VOLPLANE_DATABASE, else in the user's data)",
    )
