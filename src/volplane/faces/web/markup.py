"""HTML written by functions: every text is escaped unless it is markup already."""

from __future__ import annotations

import html
from collections.abc import Iterable

VOID = frozenset({"br", "hr", "img", "input", "link", "meta"})


class Markup(str):
    """Text that is HTML already and is not escaped again."""

    __slots__ = ()


Child = str | None | Iterable["Child"]
Attribute = str | int | bool | None


def el(name: str, /, *children: Child, **attributes: Attribute) -> Markup:
    """One element. Attribute names: `class_` is class, `data_gate` is data-gate; None or False leaves one out."""
    opening = "".join(_attribute(key, value) for key, value in attributes.items())
    if name in VOID:
        return Markup(f"<{name}{opening}>")
    return Markup(f"<{name}{opening}>{join(children)}</{name}>")


def join(children: Child) -> Markup:
    """Children one after the other, plain text escaped, None left out."""
    if children is None:
        return Markup("")
    if isinstance(children, Markup):
        return children
    if isinstance(children, str):
        return Markup(html.escape(children, quote=False))
    return Markup("".join(join(child) for child in children))


def _attribute(key: str, value: Attribute) -> str:
    if value is None or value is False:
        return ""
    name = key.rstrip("_").replace("_", "-")
    return f" {name}" if value is True else f' {name}="{html.escape(str(value), quote=True)}"'
