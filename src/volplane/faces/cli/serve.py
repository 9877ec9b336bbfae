"""`volplane serve`: the workbench in the browser."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from volplane.faces.cli import options, output

if TYPE_CHECKING:
    from volplane.bootstrap import House

LOOPBACK = "127.0.0.1"
EXAMPLE = """\
  volplane serve
  volplane serve exercise.toml --port 8200
  volplane serve --database postgresql://volplane@localhost/lessons"""


def add_parser(commands: options.Commands[argparse.ArgumentParser]) -> None:
    """Add the command."""
    about = "serve the workbench to the browser, until Ctrl-C"
    parser = options.command(commands, "serve", run, about, EXAMPLE, has_json=False)
    parser.add_argument("exercise", nargs="?", help="an exercise file to take onto the shelf, with the files it names")
    parser.add_argument(
        "--host", default=LOOPBACK, help="the address to listen on (default: %(default)s, this machine only)"
    )
    parser.add_argument("--port", type=options.port_number, help="the port (default: the first free one from 8100 on)")
    options.add_database(parser)


def run(arguments: argparse.Namespace) -> int:
    """Serve until stopped."""
    from volplane import bootstrap

    exercise = None if arguments.exercise is None else Path(arguments.exercise)
    house = bootstrap.house(arguments.database, exercise)
    options.wait_for_kernels()
    serve_house(arguments.serve_workbench, arguments.host, arguments.port, house)
    return 0


def serve_house(serve: Callable[..., None] | None, host: str, port: int | None, house: House) -> None:
    """Serve by the function the program was started with. Ctrl-C is how serving ends, and no fault."""
    if serve is None:
        raise RuntimeError("the terminal was started without the function that serves the workbench")
    try:
        serve(host, port, house, output.say)
    except KeyboardInterrupt:
        output.say("Stopped.")
