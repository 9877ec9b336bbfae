"""The documents are true to the tree."""

from __future__ import annotations

import pathlib
import re

from tests.architecture.source import PACKAGE, REPOSITORY, repository_files

DOCS = REPOSITORY / "docs"


def pages() -> list[pathlib.Path]:
    """Every page a reader may open."""
    return [path for path in repository_files() if path.suffix == ".md"]


def test_every_link_between_the_documents_leads_somewhere() -> None:
    dead = [
        f"{page.relative_to(REPOSITORY)}: {target}"
        for page in pages()
        for target in re.findall(r"\]\(([^)#\s]+)(?:#[^)]*)?\)", page.read_text(encoding="utf-8"))
        if "://" not in target and not (page.parent / target).exists()
    ]
    assert dead == []


def test_every_page_is_reached_from_the_index() -> None:
    linked = set(re.findall(r"\]\(([^)#\s]+)\)", (DOCS / "index.md").read_text(encoding="utf-8")))
    assert {path.name for path in DOCS.glob("*.md")} - linked - {"index.md"} == set()


def test_every_path_the_tour_names_exists() -> None:
    named = re.findall(r"`([a-z0-9_./]*[/.][a-z0-9_./]*)`", (DOCS / "tour.md").read_text(encoding="utf-8"))
    assert [path for path in named if not ((PACKAGE / path).exists() or (REPOSITORY / path).exists())] == ["_kernel.py"]


def test_the_tour_leaves_no_room_out() -> None:
    tour = (DOCS / "tour.md").read_text(encoding="utf-8")
    rooms = {path.parent.relative_to(PACKAGE).as_posix() for path in PACKAGE.rglob("*.py")} - {".", "domain", "faces"}
    assert [room for room in sorted(rooms) if f"`{room}" not in tour] == []


def test_the_decisions_are_numbered_without_gaps_and_say_context_decision_consequences() -> None:
    records = sorted((DOCS / "decisions").glob("*.md"))
    assert [path.name[:4] for path in records] == [f"{number:04}" for number in range(1, len(records) + 1)]
    for path in records:
        text = path.read_text(encoding="utf-8")
        assert re.findall(r"(?m)^## (.*)", text) == ["Context", "Decision", "Consequences"], path.name
        assert text.startswith(f"# {int(path.name[:4])}. "), path.name


def test_the_cautions_page_opens_with_the_lines_that_are_printed_everywhere() -> None:
    from volplane.faces.documents.wording import CAUTION_LINES

    text = (DOCS / "cautions.md").read_text(encoding="utf-8")
    assert "\n".join(f"> {line}" for line in CAUTION_LINES) in text


def test_the_changelog_tells_which_numbers_changed() -> None:
    versions = re.split(r"(?m)^## ", (REPOSITORY / "CHANGELOG.md").read_text(encoding="utf-8"))[1:]
    assert versions
    assert [version.split("\n")[0] for version in versions if "### Numbers changed" not in version] == []
