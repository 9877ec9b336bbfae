"""What the routes share: the house, the units, results held in memory, and what a request says about itself."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import cast
from urllib.parse import urlencode

from fastapi import Request

from volplane.domain.debrief.results import Debrief
from volplane.faces.documents.wording import IMPERIAL, METRIC, Units
from volplane.faces.web.assets import Assets
from volplane.faces.web.fields import changes_from, shown
from volplane.faces.web.held import HeldResults
from volplane.faces.web.layout import Frame, ThemeChoice
from volplane.faces.web.ports import ExerciseField, House, Workbench
from volplane.services.kept import FileKind
from volplane.services.shelf import ExerciseTexts


@dataclass(frozen=True, slots=True)
class Bench:
    """One exercise of the shelf on its workbench, with the fields that can be typed over."""

    key: str
    texts: ExerciseTexts
    workbench: Workbench
    fields: tuple[ExerciseField, ...]

    @property
    def path(self) -> str:
        """The address of its page."""
        return f"/exercises/{self.key}"

    @property
    def api(self) -> str:
        """The beginning of the addresses behind its page."""
        return f"/api/exercises/{self.key}"

    def changes(self, query: Mapping[str, str]) -> dict[str, str]:
        """The changes of the exercise that a query asks for."""
        return changes_from(query, self.fields)


class Rooms:
    """One per application."""

    def __init__(self, house: House, assets: Assets, units: Units) -> None:
        self.house = house
        self.assets = assets
        self.units = units
        # debriefs are made again from what is kept when a page asks for them; the latest stay at hand
        self.debriefs: HeldResults[Debrief] = HeldResults()

    def bench(self, key: str) -> Bench:
        """An exercise on its bench. :raises NotKept: there is no such exercise."""
        return self.bench_of(key, self.house.shelf.exercise(key))

    def bench_of(self, key: str, texts: ExerciseTexts) -> Bench:
        """The same of an exercise as it once was."""
        workbench = self.house.workbench(texts)
        return Bench(key, texts, workbench, workbench.exercise_fields())

    def airplane_workbench(self, key: str, exercise: str | None) -> Workbench:
        """What an airplane is looked at with: an exercise it is flown in, else a level field by the sea."""
        if exercise is not None:
            return self.bench(exercise).workbench
        kept = self.house.shelf.file(FileKind.AIRPLANE, key)
        return self.house.level_workbench(kept.file.name, kept.text.text)

    def frame(self, request: Request) -> Frame:
        """Theme and units by cookie."""
        theme = request.cookies.get("theme")
        chosen = cast(ThemeChoice, theme) if theme in ("light", "dusk") else None
        return Frame(self.assets, chosen, self.units_of(request))

    def units_of(self, request: Request) -> Units:
        """The units the reader has chosen, else those the application was made with."""
        return {"imperial": IMPERIAL, "metric": METRIC}.get(request.cookies.get("units", ""), self.units)


def query_of(changes: Mapping[str, str]) -> str:
    """Changes as they stand in an address."""
    return urlencode({key: shown(value) for key, value in changes.items()})
