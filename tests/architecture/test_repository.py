"""What no file of the repository may hold: folders of one machine, package registries, words of other papers."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest

from tests.architecture.source import REPOSITORY, assert_nothing, repository_files

# put together here, so that this file does not hold them itself
FORBIDDEN = {
    "a folder of one machine": re.compile(r"(?<![\w.])/(?:work|farm|root|home/[a-z]+)" + "/"),
    "the host of a package registry": re.compile(r"(?i)(?:https?:)?//(?:registry|files|deb|security|pypi)" + r"\."),
    "a word of another paper": re.compile("(?i)seed[ -]docu" + r"ment|\btrans" + r"cripts?\b"),
    "a thing left open": re.compile(r"\bTO" + r"DO\b|\bFIX" + r"ME\b|\bNot" + r"ImplementedError\b"),
}


def forbidden_words(text: str) -> Iterator[str]:
    """What stands in a text that must not."""
    for line, content in enumerate(text.splitlines(), start=1):
        for what, pattern in FORBIDDEN.items():
            if found := pattern.search(content):
                yield f"{line}: {what}: {found.group()!r}"


def _texts() -> Iterator[tuple[str, str]]:
    for path in repository_files():
        raw = path.read_bytes()
        if b"\0" not in raw[:8000]:
            yield path.relative_to(REPOSITORY).as_posix(), raw.decode("utf-8", errors="replace")


def test_no_file_holds_a_forbidden_word() -> None:
    assert_nothing("\n".join(f"{name}:{found}" for name, text in _texts() for found in forbidden_words(text)))


@pytest.mark.parametrize(
    "offender",
    [
        "/ho" + "me/mara/glide.toml",
        "https://regi" + "stry.example/x.whl",
        "the seed docu" + "ment",
        "# TO" + "DO: wind",
    ],
)
def test_a_forbidden_word_is_caught(offender: str) -> None:
    assert list(forbidden_words(f"first line\nsee {offender}"))


@pytest.mark.parametrize(
    "sound", ["a network of rooms", "src/homework/x.py", "its roots/leaves", "https://example.org/a"]
)
def test_an_innocent_line_is_left_alone(sound: str) -> None:
    assert not list(forbidden_words(sound))


def test_lock_files_pin_hashes_and_name_no_host() -> None:
    tracked = {path.relative_to(REPOSITORY).as_posix(): path for path in repository_files()}
    assert "uv.lock" not in tracked, "it holds registry hosts; the requirements locks hold hashes instead"
    for name, path in tracked.items():
        if name.endswith("package-lock.json"):
            assert '"resolved"' not in path.read_text(encoding="utf-8"), (
                f"{name}: npm install --omit-lockfile-registry-resolved"
            )
    for name in ("requirements.lock", "requirements-dev.lock"):
        text = tracked[name].read_text(encoding="utf-8")
        pinned = re.findall(r"(?m)^[a-z0-9][a-z0-9._-]*(?:\[[a-z,]+\])?==", text)
        assert pinned
        assert "://" not in text
        entries = re.split(r"(?m)^(?=[a-z0-9])", text)
        assert [entry.split()[0] for entry in entries if "==" in entry and "--hash=sha256:" not in entry] == []


def test_the_locks_hold_everything_the_package_asks_for() -> None:
    import tomllib

    project = tomllib.loads((REPOSITORY / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    extras = project["optional-dependencies"]
    runtime = [*project["dependencies"], *extras["build"]]
    for lock, wanted in (("requirements.lock", runtime), ("requirements-dev.lock", [*runtime, *extras["dev"]])):
        pinned = set(re.findall(r"(?m)^([a-z0-9][a-z0-9._-]*)", (REPOSITORY / lock).read_text(encoding="utf-8")))
        names = {re.split(r"[<>=\[ ;]", each)[0].lower().replace("_", "-") for each in wanted}
        assert names - pinned == set(), f"{lock} is out of date: run `make lock`"
