"""Every key of a standard's file."""

from __future__ import annotations

from volplane.adapters.toml.keys import Form, Key, Section
from volplane.domain.debrief.standards import ITEMS

STANDARD = (
    Section(
        "",
        "an instructor's own standard",
        (
            Key("name", Form.TEXT, "how the standard is called", is_required=True, example='"club check"'),
            Key("source", Form.TEXT, "who says so", is_required=True, example='"our club"'),
            Key("edition", Form.TEXT, "which edition", otherwise="none"),
            Key("item", Form.TABLES, "one or more tables of items", is_required=True),
        ),
    ),
    Section(
        "item",
        "one item; a limit itself is met",
        (
            Key("name", Form.TEXT, "what is judged", is_required=True, choices=tuple(ITEMS)),
            Key("low", Form.TEXT, "lower limit, with its unit", otherwise="no limit on that side", example='"0 ft"'),
            Key("high", Form.TEXT, "upper limit, with its unit", otherwise="no limit on that side", example='"200 ft"'),
        ),
        is_list=True,
    ),
)
