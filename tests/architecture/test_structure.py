"""How the sources are built: storeys, kernels behind one door, frozen values, docstrings."""

from __future__ import annotations

import ast
import subprocess
import sys
from collections.abc import Iterator

import pytest

from tests.architecture.source import (
    REPOSITORY,
    Function,
    Source,
    assert_nothing,
    decorators,
    imports,
    is_dataclass,
    is_protocol,
    offences,
    parsed,
    public_definitions,
    source_of,
)


def test_no_room_imports_upward_or_sideways() -> None:
    command = [sys.executable, "-c", "from importlinter.cli import lint_imports; raise SystemExit(lint_imports())"]
    done = subprocess.run(command, cwd=REPOSITORY, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr


def kernels_imported_early(source: Source) -> Iterator[str]:
    """Kernel modules imported when the module itself is; only kernels may import kernels so."""
    if source.is_kernel:
        return
    for statement, name in imports(source, at_import_time=True):
        if any(part.endswith("_kernel") for part in name.split(".")):
            yield f"{source.at(statement)}: imports {name} outside a function, which starts the compiler"


def test_kernels_are_imported_inside_functions_only() -> None:
    assert_nothing(offences(kernels_imported_early))


@pytest.mark.parametrize(
    "offender",
    [
        "import volplane.domain.atmosphere.air_kernel",
        "from volplane.domain.atmosphere import air_kernel",
        "from volplane.domain.atmosphere.air_kernel import wind_at",
        "if True:\n    from volplane.domain.atmosphere import air_kernel",
        "class Air:\n    from volplane.domain.atmosphere import air_kernel",
    ],
)
def test_an_early_kernel_import_is_caught(offender: str) -> None:
    assert list(kernels_imported_early(source_of(offender)))
    assert not list(kernels_imported_early(source_of(f"def f():\n    {offender.splitlines()[-1].strip()}")))


def compiler_outside_its_door(source: Source) -> Iterator[str]:
    """The compiler taken from anywhere but `volplane.compiled`, or told to run threads of its own."""
    if source.path == "compiled.py":
        return
    for statement, name in imports(source, at_import_time=False):
        if name.split(".")[0] in ("numba", "llvmlite"):
            yield f"{source.at(statement)}: imports {name}; take njit from volplane.compiled"


def test_only_one_module_knows_the_compiler() -> None:
    assert_nothing(offences(compiler_outside_its_door))
    assert list(compiler_outside_its_door(source_of("def f():\n    from numba import prange")))


def heavy_imports(source: Source) -> Iterator[str]:
    """Libraries that make every start slow, imported when the module is."""
    for statement, name in imports(source, at_import_time=True):
        if name.split(".")[0] == "scipy":
            yield f"{source.at(statement)}: imports {name} outside a function"


def test_scipy_is_imported_where_it_is_used() -> None:
    assert_nothing(offences(heavy_imports))
    assert list(heavy_imports(source_of("from scipy.optimize import least_squares")))


def open_values(source: Source) -> Iterator[str]:
    """Dataclasses that can be changed, or grow attributes, after they were made."""
    for node in ast.walk(source.tree):
        if isinstance(node, ast.ClassDef) and is_dataclass(node):
            settings = {
                keyword.arg: ast.literal_eval(keyword.value)
                for decorator in node.decorator_list
                if isinstance(decorator, ast.Call)
                for keyword in decorator.keywords
            }
            if not (settings.get("frozen") and settings.get("slots")):
                yield f"{source.at(node)}: dataclass {node.name} is not frozen and slotted"


def test_values_of_the_inside_are_frozen_and_slotted() -> None:
    assert_nothing(offences(open_values, "domain"))
    assert_nothing(offences(open_values, "services"))


@pytest.mark.parametrize("decorator", ["@dataclass", "@dataclass(frozen=True)", "@dataclasses.dataclass(slots=True)"])
def test_an_open_value_is_caught(decorator: str) -> None:
    assert list(open_values(source_of(f"{decorator}\nclass Gate:\n    height_m: float")))


def undocumented(source: Source) -> Iterator[str]:
    """Modules, public classes, functions, methods and properties without a docstring."""
    if source.tree.body and ast.get_docstring(source.tree) is None:
        yield f"{source.at(source.tree)}: the module has no docstring"
    protocols = {node.name for node in source.tree.body if isinstance(node, ast.ClassDef) and is_protocol(node)}
    for name, node in public_definitions(source):
        if name.split(".")[0] in protocols and "." in name:
            continue  # a protocol's docstring says what its members are
        overrides = {"overload", "override"} & {each.split(".")[-1] for each in decorators(node)}
        is_special = isinstance(node, Function) and node.name.startswith("__")
        if not is_special and not overrides and ast.get_docstring(node) is None:
            yield f"{source.at(node)}: {name} has no docstring"


def test_everything_public_says_what_it_is() -> None:
    assert_nothing(offences(undocumented))


@pytest.mark.parametrize(
    "offender", ["x = 1", '"""A."""\ndef f(): ...', '"""A."""\nclass B:\n    """B."""\n    def f(self): ...']
)
def test_a_missing_docstring_is_caught(offender: str) -> None:
    assert list(undocumented(source_of(offender)))


def without_later_annotations(source: Source) -> Iterator[str]:
    """Modules that evaluate their annotations when they are imported."""
    names = [name for _, name in imports(source, at_import_time=True)]
    has_code = len(source.tree.body) > (ast.get_docstring(source.tree) is not None)
    if has_code and "__future__.annotations" not in names:
        yield f"{source.at(source.tree)}: lacks `from __future__ import annotations`"


def test_no_module_evaluates_its_annotations() -> None:
    assert_nothing(offences(without_later_annotations))
    assert list(without_later_annotations(source_of("height_m: float = 1.0")))


def loose_expectations(source: Source) -> Iterator[str]:
    """`pytest.raises` without `match`, and tests that are switched off."""
    for node in ast.walk(source.tree):
        if not isinstance(node, ast.Call | ast.Attribute):
            continue
        text = ast.unparse(node.func if isinstance(node, ast.Call) else node)
        if (
            isinstance(node, ast.Call)
            and text == "pytest.raises"
            and "match" not in {each.arg for each in node.keywords}
        ):
            yield f"{source.path}:{node.lineno}: pytest.raises without match"
        if isinstance(node, ast.Attribute) and text in OFF:
            yield f"{source.path}:{node.lineno}: {text}"


OFF = frozenset({"pytest.skip", "pytest.mark.skip", "pytest.mark.skipif", "pytest.xfail", "pytest.mark.xfail"})


def test_no_test_is_switched_off_and_every_expected_error_says_which() -> None:
    tests = [parsed(path, REPOSITORY) for path in sorted((REPOSITORY / "tests").rglob("*.py"))]
    assert_nothing("\n".join(found for source in tests for found in loose_expectations(source)))


@pytest.mark.parametrize("offender", ["with pytest.raises(ValueError): f()", "@pytest.mark.skip\ndef test(): ..."])
def test_a_loose_test_is_caught(offender: str) -> None:
    assert list(loose_expectations(source_of(offender)))
