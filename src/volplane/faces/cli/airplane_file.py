"""Writing an airplane file with measured values in it: whole or not there, and what stood there is kept beside it."""

from __future__ import annotations

import os
from collections.abc import Iterable
from typing import TYPE_CHECKING

from volplane.faces.cli import output

if TYPE_CHECKING:
    from volplane.services.airplane_changes import AirplaneChanges

KEPT = ".bak"


def refuse_airplane_destination(path: str, inputs: Iterable[str | None] = ()) -> None:
    """See that an airplane file can be written here, before the work is done; the airplane file itself may be.

    :raises FilesRefused: the folder is missing, a folder stands there, or another input would be written over.
    """
    output.refuse_destination(path, inputs)


def write_changed_airplane(path: str, airplane: str, changes: AirplaneChanges) -> str | None:
    """Write the airplane file with the changes; gives back where the file that stood there is kept, None without one.

    :raises FilesRefused: it cannot be used with the changes in it, or not written.
    """
    from pathlib import Path

    from volplane import bootstrap

    text = bootstrap.changed_airplane_text(Path(airplane), changes)
    kept = None
    if os.path.exists(path):
        kept = path + KEPT
        output.write_file(kept, Path(path).read_bytes())
    output.write_file(path, text.encode())
    return kept
