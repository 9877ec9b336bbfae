"""What the sources import is what pyproject.toml declares."""

from __future__ import annotations

import ast
import importlib.metadata
import re
import sys
import tomllib
from collections.abc import Iterator

from tests.architecture.source import REPOSITORY, Source, assert_nothing, imports, parsed, source_of

# the distribution that brings a module of another name
DISTRIBUTION = {
    "multipart": "python-multipart",
    "PIL": "pillow",
    "fontTools": "fonttools",
    "importlinter": "import-linter",
    "markdown_it": "markdown-it-py",
}
OURS = frozenset({"volplane", "tests", "tools", "benchmarks", "hatch_build"})


def _declared(*extras: str) -> frozenset[str]:
    project = tomllib.loads((REPOSITORY / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    wanted = [*project["dependencies"], *(each for extra in extras for each in project["optional-dependencies"][extra])]
    return frozenset(re.split(r"[<>=\[ ;]", each)[0].lower() for each in wanted)


def undeclared(source: Source, declared: frozenset[str]) -> Iterator[str]:
    """Libraries that a module imports and pyproject.toml does not name."""
    for statement, name in imports(source, at_import_time=False):
        is_relative = isinstance(statement, ast.ImportFrom) and statement.level > 0
        module = name.split(".")[0]
        if is_relative or module in OURS or module in sys.stdlib_module_names:
            continue
        if DISTRIBUTION.get(module, module).lower().replace("_", "-") not in declared:
            yield f"{source.path}:{statement.lineno}: imports {module}, which pyproject.toml does not name"


def _undeclared_in(folders: tuple[str, ...], declared: frozenset[str]) -> str:
    paths = [path for folder in folders for path in sorted((REPOSITORY / folder).rglob("*.py"))]
    return "\n".join(found for path in paths for found in undeclared(parsed(path, REPOSITORY), declared))


def test_the_package_imports_only_what_it_declares() -> None:
    # starlette and pydantic are the public face of fastapi
    assert_nothing(_undeclared_in(("src",), _declared() | {"starlette", "pydantic"}))


def test_tests_and_tools_import_only_what_their_extras_declare() -> None:
    declared = _declared("dev", "build") | {"starlette", "pydantic"}
    assert_nothing(_undeclared_in(("tests", "tools", "benchmarks"), declared))


def test_an_undeclared_library_is_caught() -> None:
    assert list(undeclared(source_of("def f():\n    import pandas"), _declared()))


def test_the_installed_package_is_the_one_in_the_sources() -> None:
    project = tomllib.loads((REPOSITORY / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert importlib.metadata.version("volplane") == project["version"]
    import volplane

    assert volplane.__version__ == project["version"]
