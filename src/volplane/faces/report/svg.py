"""A small SVG writer: elements as values, written out once, with safe text, short numbers and one theme.

Colours are named by meaning and resolved when a drawing is written, so that the same drawing follows the page's theme
(custom properties) or stands alone in literal colours (print, export). Everything else is in presentation attributes:
a page may restyle a class, and a page that forbids inline styles still shows the drawing.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from volplane.faces.report import tokens
from volplane.faces.report.lettering import Lettering
from volplane.faces.report.tokens import Colour, Theme

Value = str | float | int | Colour | None
Point = tuple[float, float]

# what XML 1.0 does not allow even as a reference
_FORBIDDEN = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


@dataclass(frozen=True, slots=True)
class Element:
    """An element with its attributes and its children; a child is an element or text."""

    tag: str
    attributes: tuple[tuple[str, Value], ...] = ()
    children: tuple[Element | str, ...] = ()


@dataclass(frozen=True, slots=True)
class Drawing:
    """A whole figure: its size, what it shows in words, its parts in drawing order, and data for the page.

    `data` becomes `data-` attributes of the root; `title` and `description` are read out to who cannot see it.
    """

    name: str
    width_px: float
    height_px: float
    title: str
    description: str
    parts: tuple[Element, ...]
    data: Mapping[str, Value]

    def svg(self, theme: Theme = Theme.PAGE) -> str:
        """The figure as SVG text; the same drawing and theme give the same bytes."""
        attributes: dict[str, Value] = {
            "xmlns": "http://www.w3.org/2000/svg",
            "class": f"figure {self.name}",
            "viewBox": f"0 0 {number(self.width_px)} {number(self.height_px)}",
            "width": self.width_px,
            "height": self.height_px,
            "role": "img",
            "aria-label": self.title,
            "font-family": tokens.SANS_STACK,
        }
        if theme is not Theme.PAGE:
            # on its own it must ask for tabular figures itself; on a page the page does
            attributes["style"] = 'font-feature-settings: "tnum"'
        attributes |= {f"data-{key}": value for key, value in self.data.items()}
        words = (
            Element("title", (), (self.title,)),
            Element("desc", (), (self.description,)),
        )
        return written(Element("svg", tuple(attributes.items()), (*words, *self.parts)), theme)


def element(
    tag: str, *children: Element | str, data: Mapping[str, Value] | None = None, **attributes: Value
) -> Element:
    """An element; underscores in names become dashes, `class_` is class, `data` becomes data- attributes."""
    named = [(key.rstrip("_").replace("_", "-"), value) for key, value in attributes.items() if value is not None]
    named += [(f"data-{key}", value) for key, value in (data or {}).items() if value is not None]
    return Element(tag, tuple(named), children)


def group(*children: Element, class_: str | None = None, data: Mapping[str, Value] | None = None) -> Element:
    """Elements that belong together."""
    return element("g", *children, class_=class_, data=data)


def line(start: Point, end: Point, colour: Colour, width_px: float, *, dash: str | None = None, **more: Any) -> Element:
    """A straight line."""
    return element(
        "line",
        x1=start[0],
        y1=start[1],
        x2=end[0],
        y2=end[1],
        stroke=colour,
        stroke_width=width_px,
        stroke_dasharray=dash,
        **more,
    )


def polyline(
    points: Sequence[Point], colour: Colour, width_px: float, *, dash: str | None = None, **more: Any
) -> Element:
    """A line through points with round joins."""
    return element(
        "path",
        d=path_data(points),
        fill="none",
        stroke=colour,
        stroke_width=width_px,
        stroke_linejoin="round",
        stroke_dasharray=dash,
        **more,
    )


def polygon(points: Sequence[Point], fill: Colour, **more: Any) -> Element:
    """A filled area without an outline."""
    return element("path", d=path_data(points) + "Z", fill=fill, **more)


def circle(centre: Point, radius_px: float, *, fill: Value = "none", stroke: Value = None, **more: Any) -> Element:
    """A circle."""
    return element("circle", cx=centre[0], cy=centre[1], r=radius_px, fill=fill, stroke=stroke, **more)


def rectangle(left: float, top: float, width: float, height: float, *, fill: Value = "none", **more: Any) -> Element:
    """A rectangle."""
    return element("rect", x=left, y=top, width=width, height=height, fill=fill, **more)


def text(at: Point, words: str, lettering: Lettering, *, anchor: str = "start", **more: Any) -> Element:
    """One line of text on its baseline, with a halo of paper where its lettering has one."""
    return element(
        "text",
        words,
        x=at[0],
        y=at[1],
        fill=lettering.colour,
        font_size=lettering.size_px,
        font_weight=lettering.weight if lettering.weight != tokens.REGULAR else None,
        font_family=tokens.SERIF_STACK if lettering.is_serif else None,
        font_style="italic" if lettering.is_italic else None,
        text_anchor=None if anchor == "start" else anchor,
        paint_order="stroke" if lettering.has_halo else None,
        stroke=Colour.PAPER if lettering.has_halo else None,
        stroke_width=tokens.HALO_PX if lettering.has_halo else None,
        stroke_linejoin="round" if lettering.has_halo else None,
        **more,
    )


def path_data(points: Iterable[Point]) -> str:
    """Points as path data, absolute, one line through all of them."""
    pairs = [f"{number(x)} {number(y)}" for x, y in points]
    return "M" + "L".join(pairs)


def number(value: float) -> str:
    """A number with two decimals at most; a drawing with a hole in its numbers is a fault, so it is refused.

    :raises ValueError: not a finite number.
    """
    if not math.isfinite(value):
        raise ValueError(f"{value} cannot be drawn")
    short = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if short == "-0" else short


def escaped(words: str) -> str:
    """Text that is safe inside an element or an attribute, whatever a name contains."""
    legal = _FORBIDDEN.sub("\ufffd", words)
    for character, entity in (("&", "&amp;"), ("<", "&lt;"), (">", "&gt;"), ('"', "&quot;"), ("'", "&#39;")):
        legal = legal.replace(character, entity)
    return legal


def written(node: Element, theme: Theme) -> str:
    """An element as text in a theme."""
    if theme is Theme.PRINT and node.tag == "text" and dict(node.attributes).get("paint-order"):
        return "".join(_plain(part, theme) for part in _halo_first(node))
    return _plain(node, theme)


def _halo_first(node: Element) -> tuple[Element, Element]:
    """Text with a halo as halo and text: the typesetter strokes letter by letter, each halo over the letter before."""
    halo = tuple((name, Colour.PAPER if name == "fill" else value) for name, value in node.attributes)
    plain = tuple(
        (name, value) for name, value in node.attributes if name != "paint-order" and not name.startswith("stroke")
    )
    return Element("text", halo, node.children), Element("text", plain, node.children)


def _plain(node: Element, theme: Theme) -> str:
    attributes = "".join(
        f' {name}="{_attribute(value, theme)}"' for name, value in node.attributes if value is not None
    )
    inside = "".join(escaped(child) if isinstance(child, str) else written(child, theme) for child in node.children)
    return f"<{node.tag}{attributes}>{inside}</{node.tag}>" if node.children else f"<{node.tag}{attributes}/>"


def _attribute(value: Value, theme: Theme) -> str:
    if isinstance(value, Colour):
        return theme.colour(value)
    if isinstance(value, float):
        return number(value)
    return escaped(str(value))
