"""The pages are built with Node from a package, once, and again only when a source of theirs changed."""

from __future__ import annotations

import json
import pathlib

import pytest

import hatch_build

WRITES_A_PAGE = (
    "node -e \"const fs = require('fs'); fs.mkdirSync('{folder}', {{recursive: true}}); "
    "fs.copyFileSync('main.ts', '{folder}/main.js')\""
)


def _checkout(folder: pathlib.Path, build: str = WRITES_A_PAGE) -> pathlib.Path:
    """A checkout whose pages are one file, copied by the script `build`."""
    web = folder / "web"
    web.mkdir()
    script = build.format(folder=f"../{hatch_build.STATIC.as_posix()}")
    package = {"name": "pages", "version": "1.0.0"}
    (web / "package.json").write_text(json.dumps({**package, "scripts": {"build": script}}))
    (web / "package-lock.json").write_text(json.dumps({**package, "lockfileVersion": 3, "packages": {"": package}}))
    (web / "main.ts").write_text("first")
    return folder


def test_pages_are_built_once_and_again_when_a_source_changes(tmp_path: pathlib.Path) -> None:
    root = _checkout(tmp_path)
    page = root / hatch_build.STATIC / "main.js"
    assert hatch_build.build_pages(root)
    assert page.read_text() == "first"
    assert not hatch_build.build_pages(root)
    (root / "web" / "main.ts").write_text("second")
    assert hatch_build.build_pages(root)
    assert page.read_text() == "second"


def test_a_checkout_without_pages_builds_none(tmp_path: pathlib.Path) -> None:
    assert not hatch_build.build_pages(tmp_path)
    assert list(tmp_path.iterdir()) == []


def test_a_failed_build_says_which_step_failed_and_is_tried_again(tmp_path: pathlib.Path) -> None:
    root = _checkout(tmp_path, build='node -e "process.exit(3)"')
    for _ in range(2):
        with pytest.raises(SystemExit, match=r"npm run build, in .*web, ended with exit code 3"):
            hatch_build.build_pages(root)


def test_a_build_that_leaves_nothing_is_refused(tmp_path: pathlib.Path) -> None:
    root = _checkout(tmp_path, build='node -e "process.exit(0)"')
    with pytest.raises(SystemExit, match="left nothing in"):
        hatch_build.build_pages(root)
