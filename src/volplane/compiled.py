"""The one door to the compiler: kernels take `njit` from here, and run as plain Python when it is switched off.

A kernel is a function in a module whose name ends in `_kernel`. Such modules are imported inside functions only,
because importing one starts the compiler. `VOLPLANE_PLAIN=1` turns `njit` into the identity; every kernel must give the
same answer both ways. The compiler's cache does not see a change in a callee of another file, so the cache folder's
name is a hash of all kernel sources.
"""

from __future__ import annotations

import functools
import hashlib
import os
import pathlib
import tempfile
from collections.abc import Callable
from typing import ParamSpec, TypeVar, cast

P = ParamSpec("P")
R = TypeVar("R")


def is_plain() -> bool:
    """Whether kernels run as plain Python (environment variable `VOLPLANE_PLAIN`)."""
    return os.environ.get("VOLPLANE_PLAIN", "") not in ("", "0")


@functools.cache
def cache_folder() -> pathlib.Path:
    """Folder of the compiled kernels, named by a hash of every kernel source."""
    package = pathlib.Path(__file__).parent
    digest = hashlib.sha256()
    for source in sorted(package.rglob("*_kernel.py")):
        digest.update(source.relative_to(package).as_posix().encode())
        digest.update(source.read_bytes())
    return _cache_root() / f"kernels-{digest.hexdigest()[:16]}"


def cache_is_warm() -> bool:
    """Whether `warm` has finished once for these kernel sources, so that nothing is left to compile."""
    return is_plain() or (cache_folder() / "warm").exists()


def mark_cache_warm() -> None:
    """Note that every kernel has been compiled into the cache."""
    if not is_plain():
        cache_folder().mkdir(parents=True, exist_ok=True)
        (cache_folder() / "warm").touch()


def njit(function: Callable[P, R]) -> Callable[P, R]:
    """Compile a kernel (no global interpreter lock, cached on disk), or return it unchanged in plain mode."""
    if is_plain():
        return function
    numba = _compiler()
    compiled = numba.njit(cache=True, nogil=True, error_model="numpy")(function)  # type: ignore[attr-defined]
    return cast(Callable[P, R], compiled)


@functools.cache
def _compiler() -> object:
    import numba

    folder = cache_folder()
    folder.mkdir(parents=True, exist_ok=True)
    setattr(numba.config, "CACHE_DIR", str(folder))  # noqa: B010 - the module makes its settings at run time
    return numba


def _cache_root() -> pathlib.Path:
    """The user's cache folder, or a temporary one where that cannot be written."""
    named = os.environ.get("VOLPLANE_CACHE")
    if named:
        return pathlib.Path(named)
    base = os.environ.get("LOCALAPPDATA") or os.environ.get("XDG_CACHE_HOME")
    root = (pathlib.Path(base) if base else pathlib.Path.home() / ".cache") / "volplane"
    try:
        root.mkdir(parents=True, exist_ok=True)
    except OSError:
        return pathlib.Path(tempfile.gettempdir()) / "volplane"
    return root if os.access(root, os.W_OK) else pathlib.Path(tempfile.gettempdir()) / "volplane"
