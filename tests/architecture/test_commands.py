"""docs/commands.md describes every command and option the terminal takes, and none it does not."""

from __future__ import annotations

import argparse
import re
import subprocess
import sys
from collections.abc import Iterator

from tests.architecture.source import REPOSITORY

PAGE = REPOSITORY / "docs" / "commands.md"
EVERYWHERE = frozenset({"-h", "--help", "--json"})


def commands() -> dict[str, argparse.ArgumentParser]:
    """The parser of each command, by its words; a command with parts stands for each of them."""
    from volplane.faces.cli.main import build_parser

    return dict(_below(build_parser(), ""))


def _below(parser: argparse.ArgumentParser, words: str) -> Iterator[tuple[str, argparse.ArgumentParser]]:
    parts = [each for each in parser._actions if isinstance(each, argparse._SubParsersAction)]
    if not parts:
        yield words.strip(), parser
    for name, inner in (pair for each in parts for pair in each.choices.items()):
        yield from _below(inner, f"{words} {name}")


def sections() -> dict[str, str]:
    """The page's text below the heading of each command."""
    parts = re.split(r"(?m)^## `volplane ([a-z ]+)`\n", PAGE.read_text(encoding="utf-8"))
    return dict(zip(parts[1::2], parts[2::2], strict=True))


def test_every_command_has_its_section_and_every_section_its_command() -> None:
    assert set(commands()) == set(sections())


def test_every_option_and_argument_stands_in_its_commands_section() -> None:
    missing = [
        f"volplane {name}: {said}"
        for name, parser in commands().items()
        for action in parser._actions
        for said in (action.option_strings or [action.dest])
        if said not in EVERYWHERE and f"`{said}`" not in sections()[name]
    ]
    assert missing == []


def test_the_page_names_no_option_that_a_command_does_not_take() -> None:
    for name, parser in commands().items():
        taken = {option for action in parser._actions for option in action.option_strings} | EVERYWHERE
        assert set(re.findall(r"`(--?[a-z][a-z-]*)`", sections()[name])) - taken == set(), name


def test_every_command_speaks_json_and_shows_an_example_in_its_help() -> None:
    for name, parser in commands().items():
        assert f"volplane {name}" in (parser.epilog or ""), f"volplane {name} --help shows no example"
        assert name == "serve" or "--json" in parser._option_string_actions, f"volplane {name} has no --json"


HEAVY = "numpy numba scipy rich fastapi uvicorn pydantic typst tomlkit sqlite3 asyncio"


def test_the_terminal_starts_without_heavy_libraries() -> None:
    program = (
        "import sys; from volplane.faces.cli.main import build_parser; build_parser(); "
        f"print(*set({HEAVY!r}.split()) & set(sys.modules))"
    )
    done = subprocess.run([sys.executable, "-c", program], cwd=REPOSITORY, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout, done.stderr) == (0, "\n", "")
