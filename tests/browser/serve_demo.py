"""Serves the demo's house, kept in a folder: `python -m tests.browser.serve_demo PORT FOLDER`."""

from __future__ import annotations

import pathlib
import sys

import uvicorn

from volplane import bootstrap
from volplane.faces.cli.demo_run import debrief_text
from volplane.faces.web.app import create_app


def main() -> None:
    """Serve until told to stop."""
    house = bootstrap.demo_house(pathlib.Path(sys.argv[2]), debrief_text)
    uvicorn.run(create_app(house), host="127.0.0.1", port=int(sys.argv[1]), log_level="warning")


if __name__ == "__main__":
    main()
