"""The manual inside the workbench: the documents of the repository, rendered once and served from this machine."""

from __future__ import annotations

import functools
import itertools
import pathlib
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from importlib import resources
from importlib.resources.abc import Traversable

from markdown_it import MarkdownIt
from markdown_it.token import Token

from volplane.faces.web.markup import Markup

FIRST = "cautions"
_INDEX = "index.md"
_LINKED = re.compile(r"\| \[(?P<title>[^\]]+)\]\((?P<name>[\w-]+)\.md\) \| (?P<answers>.*?) \|")
_LEADS_TO = re.compile(r"(?:\./)?(?P<name>[\w-]+)\.md(?P<place>#.*)?")


@dataclass(frozen=True, slots=True)
class ManualPage:
    """One page of the manual: its address below /manual, its title and the question it answers."""

    name: str
    title: str
    answers: str


@dataclass(frozen=True, slots=True)
class ManualChapter:
    """Pages for one kind of reader."""

    title: str
    pages: tuple[ManualPage, ...]


@functools.cache
def chapters() -> tuple[ManualChapter, ...]:
    """What is in the manual, in the order of the documents' own index."""
    parts = re.split(r"(?m)^## (.+)$", _text(_INDEX))
    found = [ManualChapter(title, tuple(_pages(body))) for title, body in zip(parts[1::2], parts[2::2], strict=True)]
    return tuple(chapter for chapter in found if chapter.pages)


@functools.cache
def rendered(name: str) -> Markup | None:
    """A page of the manual as HTML; None when there is none of that name."""
    if name not in {page.name for page in all_pages()}:
        return None
    reader = MarkdownIt("commonmark", {"html": False}).enable("table")
    tokens = reader.parse(_text(f"{name}.md"))
    _name_headings(tokens)
    for token in _inside(tokens):
        if token.type == "link_open":
            _lead(token)
        elif token.type == "image":
            token.attrSet("src", f"/manual/{token.attrGet('src')}")
    return Markup(reader.renderer.render(tokens, reader.options, {}))


def picture(name: str) -> bytes | None:
    """A picture of the manual; None when there is none of that name."""
    if re.fullmatch(r"[\w-]+\.png", name) is None:
        return None
    found = _folder() / "pictures" / name
    return found.read_bytes() if found.is_file() else None


def all_pages() -> Iterator[ManualPage]:
    """Every page, chapter by chapter."""
    for chapter in chapters():
        yield from chapter.pages


def _pages(body: str) -> Iterator[ManualPage]:
    for match in _LINKED.finditer(body):
        yield ManualPage(match["name"], match["title"], match["answers"])


def _folder() -> Traversable:
    """The documents as the wheel carries them, in a checkout where they are written."""
    packed = resources.files("volplane") / "manual"
    return packed if packed.is_dir() else pathlib.Path(__file__).parents[4] / "docs"


def _text(file_name: str) -> str:
    return (_folder() / file_name).read_text(encoding="utf-8")


def _lead(link: Token) -> None:
    """Where a link of the documents leads inside the workbench; what is not in the manual is no link there."""
    target = str(link.attrGet("href"))
    match = _LEADS_TO.fullmatch(target)
    if match is not None and match["name"] in {page.name for page in all_pages()}:
        link.attrSet("href", f"/manual/{match['name']}{match['place'] or ''}")
    elif not target.startswith("#"):
        link.attrs.pop("href")


def _name_headings(tokens: Sequence[Token]) -> None:
    """Headings get the names that links of the documents use."""
    for opening, text in itertools.pairwise(tokens):
        if opening.type == "heading_open":
            words = re.sub(r"[^\w\s-]", "", text.content.lower())
            opening.attrSet("id", words.strip().replace(" ", "-"))


def _inside(tokens: Sequence[Token]) -> Iterator[Token]:
    for token in tokens:
        yield token
        yield from _inside(token.children or ())
