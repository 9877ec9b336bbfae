"""Refusals of the debrief in words: what was found, what was expected, what to do."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from volplane.faces.documents import wording

WORDS: dict[str, Callable[[Any], tuple[str, str, str]]] = {
    "standard-unknown": lambda refusal: (
        f'"{refusal.name}" as a standard',
        wording.listed([f'"{name}"' for name in refusal.known], "or"),
        "Name one of them, or give a file of your own.",
    ),
    "air-not-known": lambda refusal: (
        "no wind in this exercise",
        "a flight that turned by 120° or more, or a wind given by hand",
        "Give the wind with --wind.",
    ),
    "no-gate-noted": lambda refusal: (
        "readings at none of this exercise's gates",
        wording.listed(list(refusal.planned), "or"),
        "Write the name of a gate in the first column.",
    ),
    "not-flown-then": lambda refusal: (
        f"a moment {wording.seconds(refusal.time_s)} into the recording",
        f"one in the glide, {refusal.first_s:.0f} to {wording.seconds(refusal.last_s)} into it and above 50 ft",
        "Choose a moment between the entry and the round-out.",
    ),
}
