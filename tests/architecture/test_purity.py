"""The domain is pure: no file, clock, network, terminal or unseeded random; the import contracts cannot see these."""

from __future__ import annotations

import ast
from collections.abc import Iterator

import pytest

from tests.architecture.source import Source, assert_nothing, dotted, imports, offences, source_of

FORBIDDEN_CALLS = frozenset({"open", "print", "input", "breakpoint", "exec", "eval", "__import__"})
# modules of the standard library that reach the world or hidden state
FORBIDDEN_MODULES = frozenset(
    "asyncio atexit builtins ctypes fileinput getpass glob http importlib io locale logging mmap multiprocessing "
    "pathlib platform queue random secrets select selectors shelve shutil signal socket sqlite3 ssl subprocess sys "
    "syslog tempfile time urllib uuid warnings webbrowser".split()
)
# how many threads to use is no part of a result
ALLOWED_OF_OS = frozenset({"os", "os.cpu_count", "os.process_cpu_count", "os.sched_getaffinity"})
CLOCKS = frozenset({"now", "utcnow", "today", "fromtimestamp"})
FILE_METHODS = frozenset({"read_text", "write_text", "read_bytes", "write_bytes", "tofile"})
ARRAY_FILES = frozenset(
    {"load", "save", "savez", "savez_compressed", "loadtxt", "savetxt", "genfromtxt", "fromfile", "memmap"}
)
# generators that are made from a seed that was passed in
SEEDED = frozenset({"default_rng", "SeedSequence", "Philox", "PCG64", "PCG64DXSM", "SFC64", "MT19937", "Generator"})


def impurities(source: Source) -> Iterator[str]:
    """Everything in a module by which it would touch the world outside its arguments."""
    for statement, name in imports(source, at_import_time=False):
        if name.split(".")[0] in FORBIDDEN_MODULES or (name.split(".")[0] == "os" and name not in ALLOWED_OF_OS):
            yield f"{source.at(statement)}: imports {name}"
    for node in ast.walk(source.tree):
        if isinstance(node, ast.Global):
            yield f"{source.at(node)}: global {', '.join(node.names)}"
        if isinstance(node, ast.Attribute) and dotted(node).startswith("os.") and dotted(node) not in ALLOWED_OF_OS:
            yield f"{source.at(node)}: {dotted(node)}"
        if isinstance(node, ast.Call) and _is_impure(node):
            yield f"{source.at(node)}: {ast.unparse(node.func)}(...)"


def _is_impure(call: ast.Call) -> bool:
    name = dotted(call.func)
    last = call.func.attr if isinstance(call.func, ast.Attribute) else name
    if name in FORBIDDEN_CALLS or last in FILE_METHODS:
        return True
    if isinstance(call.func, ast.Attribute) and last in CLOCKS and name.split(".")[0] in ("datetime", "date", "dt"):
        return True
    if name.startswith(("np.", "numpy.")):
        if ".random." in name:
            return last not in SEEDED or not (call.args or call.keywords)
        return last in ARRAY_FILES
    return last in SEEDED and last != "Generator" and not (call.args or call.keywords)


def test_the_domain_touches_no_file_clock_network_terminal_or_unseeded_random() -> None:
    assert_nothing(offences(impurities, "domain"))


@pytest.mark.parametrize(
    "offender",
    [
        "import pathlib",
        "from os import environ",
        "import os\nfolder = os.getcwd()",
        "def f():\n    import time",
        "def f():\n    print('sink')",
        "def f(name):\n    return open(name)",
        "from datetime import datetime\nnow = datetime.now()",
        "import numpy as np\nrng = np.random.default_rng()",
        "import numpy as np\ndef f():\n    return np.random.normal(0.0, 1.0)",
        "import numpy as np\ndef f():\n    return np.load('polar.npy')",
        "from numpy.random import default_rng\nrng = default_rng()",
        "count = 0\ndef f():\n    global count\n    count += 1",
    ],
)
def test_an_impure_module_is_caught(offender: str) -> None:
    assert list(impurities(source_of(offender)))


@pytest.mark.parametrize(
    "pure",
    [
        "import numpy as np\ndef f(seed):\n    return np.random.default_rng(seed)",
        "import os\ndef f():\n    return os.cpu_count()",
        "from datetime import datetime, timedelta\ndef f(start: datetime):\n    return start + timedelta(seconds=1)",
        "import numpy as np\ndef f(rng: np.random.Generator):\n    return rng.normal()",
    ],
)
def test_a_pure_module_is_left_alone(pure: str) -> None:
    assert not list(impurities(source_of(pure)))
