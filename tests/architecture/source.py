"""The package's sources as syntax trees, read once, with the few questions the architecture tests ask of them."""

from __future__ import annotations

import ast
import functools
import pathlib
import subprocess
from collections.abc import Callable, Iterator
from dataclasses import dataclass

REPOSITORY = pathlib.Path(__file__).resolve().parents[2]
PACKAGE = REPOSITORY / "src" / "volplane"

Function = ast.FunctionDef | ast.AsyncFunctionDef


@dataclass(frozen=True, slots=True)
class Source:
    """One module: its path inside the package ("domain/finding.py") and its syntax tree."""

    path: str
    tree: ast.Module

    @property
    def is_kernel(self) -> bool:
        """Whether this is a module of kernels."""
        return self.path.endswith("_kernel.py")

    @property
    def storey(self) -> str:
        """The uppermost folder ("domain"), or the file's name for a module of the package itself."""
        return self.path.split("/")[0]

    def at(self, node: ast.AST) -> str:
        """Where a node stands, as an editor opens it."""
        return f"src/volplane/{self.path}:{getattr(node, 'lineno', 1)}"


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number in a public signature or field: its name, its annotation, and where it stands."""

    name: str
    owner: str
    kind: str
    place: str
    path: str
    in_unit_of_data: bool


@functools.cache
def sources(under: str = "") -> tuple[Source, ...]:
    """Every module of the package below a folder ("domain"), in order of path."""
    return tuple(parsed(path, PACKAGE) for path in sorted((PACKAGE / under).rglob("*.py")))


def parsed(path: pathlib.Path, root: pathlib.Path) -> Source:
    """One file as a source."""
    return Source(path.relative_to(root).as_posix(), ast.parse(path.read_text(encoding="utf-8"), str(path)))


def source_of(text: str, path: str = "domain/example.py") -> Source:
    """A source from text, with which the rules are tried on offenders."""
    return Source(path, ast.parse(text))


@functools.cache
def repository_files() -> tuple[pathlib.Path, ...]:
    """Every file that git tracks or would track."""
    command = ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"]
    listed = subprocess.run(command, cwd=REPOSITORY, check=True, capture_output=True).stdout.decode()
    return tuple(path for name in sorted(set(listed.split("\0"))) if name and (path := REPOSITORY / name).is_file())


def offences(rule: Callable[[Source], Iterator[str]], under: str = "") -> str:
    """What breaks a rule, one line each; empty when nothing does."""
    return "\n".join(found for source in sources(under) for found in rule(source))


def assert_nothing(found: str) -> None:
    """Fail with the whole list of what was found, unless it is empty."""
    if found:
        raise AssertionError(f"\n{found}")


def imported_names(node: ast.stmt) -> list[str]:
    """Full names a statement imports, `a.b` for `import a.b` and for `from a import b`; none for other statements."""
    if isinstance(node, ast.Import):
        return [alias.name for alias in node.names]
    if isinstance(node, ast.ImportFrom):
        return [f"{node.module or ''}.{alias.name}" for alias in node.names]
    return []


def imports(source: Source, *, at_import_time: bool) -> Iterator[tuple[ast.stmt, str]]:
    """(statement, full name) of each import; at import time only: none in functions or for the type checker alone."""
    waiting: list[ast.AST] = [source.tree]
    while waiting:
        node = waiting.pop()
        if at_import_time and (isinstance(node, Function) or _is_for_types(node)):
            continue
        waiting.extend(ast.iter_child_nodes(node))
        if isinstance(node, ast.stmt):
            yield from ((node, name) for name in imported_names(node))


def _is_for_types(node: ast.AST) -> bool:
    return isinstance(node, ast.If) and ast.unparse(node.test) in ("TYPE_CHECKING", "typing.TYPE_CHECKING")


def dotted(node: ast.AST) -> str:
    """`np.random.default_rng` for such an expression, "" for anything but names joined by dots."""
    if isinstance(node, ast.Name):
        return node.id
    if isinstance(node, ast.Attribute):
        stem = dotted(node.value)
        return f"{stem}.{node.attr}" if stem else ""
    return ""


def decorators(node: Function | ast.ClassDef) -> list[str]:
    """Names of the decorators, without their arguments."""
    return [dotted(each.func if isinstance(each, ast.Call) else each) for each in node.decorator_list]


def is_dataclass(node: ast.ClassDef) -> bool:
    """Whether a class is a dataclass."""
    return any(name.split(".")[-1] == "dataclass" for name in decorators(node))


def is_public(name: str) -> bool:
    """Whether a name may be used from outside; a constructor's and a call's signature is public too."""
    return not name.startswith("_") or name in ("__init__", "__call__")


def is_protocol(node: ast.ClassDef) -> bool:
    """Whether a class only says what others must offer."""
    return any(ast.unparse(base).split("[")[0].split(".")[-1] == "Protocol" for base in node.bases)


def public_definitions(source: Source) -> Iterator[tuple[str, Function | ast.ClassDef]]:
    """(name, definition) of public classes, functions and methods; `Track.at` for a method."""
    for node in source.tree.body:
        if isinstance(node, Function | ast.ClassDef) and is_public(node.name):
            yield node.name, node
            if isinstance(node, ast.ClassDef):
                for member in node.body:
                    if isinstance(member, Function) and is_public(member.name):
                        yield f"{node.name}.{member.name}", member


def quantities(source: Source) -> Iterator[Quantity]:
    """The numbers of a module's public face: parameters, fields and properties that hold floats, one or many.

    A kernel's arrays may pack columns of several units, so there the docstring tells the unit of each column.
    """
    aliases = _float_aliases(source.tree)
    for owner, node in public_definitions(source):
        if isinstance(node, ast.ClassDef):
            own_unit = _names_its_quantity(node)
            for field in node.body:
                if isinstance(field, ast.AnnAssign) and isinstance(field.target, ast.Name):
                    name = field.target.id
                    holds = not _is_packed(source, field.annotation) and holds_floats(field.annotation, aliases)
                    if is_public(name) and holds:
                        yield Quantity(name, owner, "field", source.at(field), source.path, own_unit)
            continue
        if "property" in decorators(node) and node.returns is not None and holds_floats(node.returns, aliases):
            yield Quantity(node.name, owner, "property", source.at(node), source.path, False)
        every = [*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs]
        for argument in every:
            said = argument.annotation
            if said is not None and not _is_packed(source, said) and holds_floats(said, aliases):
                yield Quantity(argument.arg, owner, "parameter", source.at(argument), source.path, False)


def _is_packed(source: Source, annotation: ast.expr) -> bool:
    """Whether this is an array of a kernel."""
    return source.is_kernel and ast.unparse(annotation) != "float"


def _names_its_quantity(node: ast.ClassDef) -> bool:
    """Whether a class carries the kind of its numbers as data, in a field called `quantity` or `unit`."""
    fields = {
        field.target.id
        for field in node.body
        if isinstance(field, ast.AnnAssign) and isinstance(field.target, ast.Name)
    }
    return bool(fields & {"quantity", "unit"})


def _float_aliases(tree: ast.Module) -> frozenset[str]:
    """Names that mean a float or an array of floats in this module: the usual ones and those it makes itself."""
    names = {"float", "Array", "FloatArray", "FloatOrArray", "Floats"}
    for node in tree.body:
        if isinstance(node, ast.Assign) and len(node.targets) == 1 and isinstance(node.targets[0], ast.Name):
            text = ast.unparse(node.value)
            if ("NDArray" in text or "TypeVar" in text) and "float" in text:
                names.add(node.targets[0].id)
    return frozenset(names)


COLLECTIONS = frozenset({"Sequence", "Iterable", "Iterator", "Collection", "list", "set", "frozenset"})
WRAPPERS = frozenset({"Final", "Annotated", "ClassVar", "Optional"})


def holds_floats(annotation: ast.expr, aliases: frozenset[str]) -> bool:
    """Whether an annotation means numbers of one unit: a float, an array of floats, a sequence of one of them, or none.

    Several arrays, mappings and tuples of different things (`tuple[float, str]`) say in their docstring what they hold.
    """
    if isinstance(annotation, ast.Constant) and isinstance(annotation.value, str):
        return holds_floats(ast.parse(annotation.value, mode="eval").body, aliases)
    if isinstance(annotation, ast.Name):
        return annotation.id in aliases
    if isinstance(annotation, ast.BinOp):
        return holds_floats(annotation.left, aliases) or holds_floats(annotation.right, aliases)
    if not isinstance(annotation, ast.Subscript):
        return False
    container = dotted(annotation.value).split(".")[-1]
    if container == "NDArray":
        return "float" in ast.unparse(annotation.slice)
    if container in COLLECTIONS | WRAPPERS:
        inner = annotation.slice.elts[0] if isinstance(annotation.slice, ast.Tuple) else annotation.slice
        return ast.unparse(inner).startswith("float") or (container in WRAPPERS and holds_floats(inner, aliases))
    if container == "tuple" and isinstance(annotation.slice, ast.Tuple) and len(annotation.slice.elts) == 2:
        first, second = annotation.slice.elts
        return isinstance(second, ast.Constant) and second.value is Ellipsis and holds_floats(first, aliases)
    return False
