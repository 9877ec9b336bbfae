"""What the routes share: the workbench, the units, the held debriefs, and what a request says about itself."""

from __future__ import annotations

from collections.abc import Mapping
from typing import cast
from urllib.parse import urlencode

from fastapi import Request

from volplane.faces.documents.wording import Units
from volplane.faces.web.assets import Assets
from volplane.faces.web.fields import changes_from, shown
from volplane.faces.web.held import HeldDebriefs
from volplane.faces.web.layout import Frame, ThemeChoice
from volplane.faces.web.ports import Workbench


class Bench:
    """One per application."""

    def __init__(self, workbench: Workbench, assets: Assets, units: Units) -> None:
        self.workbench = workbench
        self.assets = assets
        self.units = units
        self.debriefs = HeldDebriefs()
        self.fields = workbench.exercise_fields()

    def changes(self, query: Mapping[str, str]) -> dict[str, str]:
        """The changes of the exercise that a query asks for."""
        return changes_from(query, self.fields)

    def frame(self, request: Request) -> Frame:
        """Theme by cookie, and the exercise's changes, which every link keeps."""
        theme = request.cookies.get("theme")
        chosen = cast(ThemeChoice, theme) if theme in ("light", "dusk") else None
        return Frame(self.assets, chosen, query_of(self.changes(request.query_params)))


def query_of(changes: Mapping[str, str]) -> str:
    """Changes as they stand in an address."""
    return urlencode({key: shown(value) for key, value in changes.items()})
