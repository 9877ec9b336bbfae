"""Volplane: the workbench of a flight instructor who teaches engine-out glides.

The public names are loaded when they are first used, so that importing the package costs nothing; their types stand in
`__init__.pyi`.
"""

from __future__ import annotations

__version__ = "0.1.0"

__all__ = ["Airfield", "Airplane", "Exercise", "__version__", "debrief", "plan", "read_track", "required_height"]

_HOMES = {
    "required_height": "volplane.domain.glide.required_height",
    "Airplane": "volplane.faces.python",
    "Airfield": "volplane.faces.python",
    "Exercise": "volplane.faces.python",
    "read_track": "volplane.faces.python",
    "plan": "volplane.faces.python",
    "debrief": "volplane.faces.python",
}


def __getattr__(name: str) -> object:
    """A public name, from the module it lives in."""
    if name not in _HOMES:
        raise AttributeError(f"module 'volplane' has no attribute {name!r}")
    import importlib

    return getattr(importlib.import_module(_HOMES[name]), name)


def __dir__() -> list[str]:
    return sorted(__all__)
