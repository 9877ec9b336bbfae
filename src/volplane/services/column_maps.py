"""Tables with titles nobody knows: what their columns hold, what an instructor says they mean, kept for the next one.

A map is a file on the shelf under a name made of the table's titles, so that it is found again by the titles alone.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass

from volplane.services.keeping import NotKept, Reader, present_text
from volplane.services.kept import FileKind
from volplane.services.recordings import Channel

# what is asked for when a column is to be read by its cells
SAMPLES = 3


@dataclass(frozen=True, slots=True)
class SeenColumn:
    """A column of a table as it stands there: title, first cells, and what it would be taken as, if anything."""

    title: str
    samples: tuple[str, ...]
    channel: Channel | None
    unit: str


def map_name(titles: Sequence[str]) -> str:
    """The name of the file that holds the map for a table with these titles; spaces and capitals make no difference."""
    plain = "\n".join(" ".join(title.split()).casefold() for title in titles)
    return f"columns-{hashlib.sha256(plain.encode()).hexdigest()[:12]}.toml"


def kept_map_text(reader: Reader, titles: Sequence[str]) -> str | None:
    """The text of the map that is kept for these titles; None where nobody has made one."""
    try:
        return present_text(reader, FileKind.COLUMN_MAP, map_name(titles)).text
    except NotKept:
        return None
