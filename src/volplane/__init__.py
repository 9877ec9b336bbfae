"""Volplane: the workbench of a flight instructor who teaches engine-out glides."""

from __future__ import annotations

__version__ = "0.1.0"
