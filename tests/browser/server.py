"""A real server process on a free port for the browser tests, and for the pictures of the manual."""

from __future__ import annotations

import contextlib
import http.client
import os
import pathlib
import socket
import subprocess
import sys
import time
from collections.abc import Iterator

ROOT = pathlib.Path(__file__).parents[2]
PATIENCE_S = 120.0


def free_port() -> int:
    """A port nobody listens on now."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@contextlib.contextmanager
def running(command: list[str], port: int, log: pathlib.Path) -> Iterator[str]:
    """The address of a server while it runs; what it printed is in `log`, and in the fault if it never answers."""
    paths = [str(ROOT), *filter(None, [os.environ.get("PYTHONPATH")])]
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join(paths)}
    with log.open("wb") as output:
        server = subprocess.Popen(command, cwd=ROOT, env=environment, stdout=output, stderr=subprocess.STDOUT)
        try:
            _wait_until_it_answers(server, port, log)
            yield f"http://127.0.0.1:{port}"
        finally:
            server.terminate()
            try:
                server.wait(20.0)
            except subprocess.TimeoutExpired:
                server.kill()
                server.wait()


def fixture_server(port: int, variant: str = "") -> list[str]:
    """The command that serves the hand-made plan and debrief of the face tests."""
    return [sys.executable, "-m", "tests.browser.serve_fixture", str(port), *([variant] if variant else [])]


def demo_server(port: int, folder: pathlib.Path) -> list[str]:
    """The command that serves the demo's house: the real solver, real recordings, a real store in a folder."""
    return [sys.executable, "-m", "tests.browser.serve_demo", str(port), str(folder)]


def fresh_server(port: int, folder: pathlib.Path) -> list[str]:
    """The command as it is given: the program over a store that does not exist yet."""
    database = ["--database", str(folder / "fresh.sqlite")]
    program = pathlib.Path(sys.executable).with_name("volplane")
    return [str(program), "serve", "--port", str(port), *database]


def _wait_until_it_answers(server: subprocess.Popen[bytes], port: int, log: pathlib.Path) -> None:
    end = time.monotonic() + PATIENCE_S
    while time.monotonic() < end and server.poll() is None:
        with contextlib.suppress(OSError, http.client.HTTPException):
            connection = http.client.HTTPConnection("127.0.0.1", port, timeout=5.0)
            connection.request("GET", "/favicon.svg")
            status = connection.getresponse().status
            connection.close()
            if status == 200:
                return
        time.sleep(0.1)
    raise RuntimeError(f"the server did not answer on port {port}: {log.read_text(errors='replace')[-3000:]}")
