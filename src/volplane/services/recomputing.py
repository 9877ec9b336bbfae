"""Kept debriefs made again from their recordings and texts, to see that they still come out the same."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from volplane.domain.debrief.results import Debrief
from volplane.errors import Refusal
from volplane.services.keeping import Reader
from volplane.services.kept import KeptDebrief
from volplane.services.safekeeping import FoundFault, StoreFinding

# makes a kept debrief again from what is kept of it
Again = Callable[[Reader, KeptDebrief], Debrief]
# a debrief as its document
Document = Callable[[Debrief], Mapping[str, Any]]


@dataclass(frozen=True, slots=True)
class Recomputed:
    """How many debriefs were made again, how many of them another version had made, and what is wrong with which."""

    count: int
    made_by_other_version: int
    faults: tuple[FoundFault, ...]


def recomputed(
    reader: Reader, again: Again, document: Document, code_version: str, progress: Callable[[str], None]
) -> Recomputed:
    """Make every kept debrief again; one of this very version must say word for word the same."""
    debriefs = reader.find(KeptDebrief)
    faults = []
    for number, kept in enumerate(debriefs, start=1):
        progress(f"Debrief {number} of {len(debriefs)}.")
        try:
            now = json.loads(json.dumps(document(again(reader, kept))))
        except Refusal as refusal:
            faults.append(FoundFault(StoreFinding.NOT_RECOMPUTABLE, "debrief", kept.key, str(refusal)))
            continue
        if kept.code_version == code_version and now != json.loads(kept.document):
            faults.append(FoundFault(StoreFinding.RECOMPUTED_OTHERWISE, "debrief", kept.key))
    others = sum(kept.code_version != code_version for kept in debriefs)
    return Recomputed(len(debriefs), others, tuple(faults))
