"""Serves the hand-made plan and debrief: `python -m tests.browser.serve_fixture PORT [stopped]`."""

from __future__ import annotations

import sys

import uvicorn

from tests.faces.fixtures import default_findings, stop_finding
from tests.faces.web_fixture import FixtureHouse, FixtureWorkbench
from volplane.faces.web.app import create_app


def main() -> None:
    """Serve until told to stop."""
    is_stopped = "stopped" in sys.argv[2:]
    findings = (stop_finding(), *default_findings()) if is_stopped else None
    app = create_app(FixtureHouse(FixtureWorkbench(findings=findings)))
    uvicorn.run(app, host="127.0.0.1", port=int(sys.argv[1]), log_level="warning")


if __name__ == "__main__":
    main()
