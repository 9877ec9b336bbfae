"""The console script: the command line, given the workbench server, so that neither face knows the other."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from volplane.bootstrap import House


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; the exit code."""
    from volplane.faces.cli.main import main as command_line

    return command_line(arguments, serve=_serve)


def _serve(host: str, port: int | None, house: House, say: Callable[[str], None]) -> None:
    from volplane.faces.web.serving import serve

    serve(host, port, house, say, opens_browser=True)
