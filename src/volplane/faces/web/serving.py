"""Runs the workbench until it is stopped."""

from __future__ import annotations

import contextlib
import errno
import os
import socket
import sys
import threading
import webbrowser
from collections.abc import Callable

from volplane.errors import Refusal
from volplane.faces.web.app import create_app
from volplane.faces.web.ports import House

FIRST_PORT = 8100
_PORTS_TRIED = 50
_LOOPBACK = ("127.0.0.1", "::1", "localhost")


class PortTaken(Refusal):
    """The port cannot be listened on."""

    code = "port-taken"

    def __init__(self, host: str, port: int, reason: str) -> None:
        super().__init__(f"{host} port {port}: {reason}")
        self.host = host
        self.port = port
        self.reason = reason


def serve(
    host: str, port: int | None, house: House, say: Callable[[str], None], *, opens_browser: bool = False
) -> None:
    """Serve the workbench on a port (the first free one from FIRST_PORT on when None) until Ctrl-C.

    The first plan is solved in the background, so that the first page does not wait for the compiler.

    :raises PortTaken: the port is in use or not allowed.
    """
    import uvicorn

    listening = _listen(host, port)
    shown = f"http://{'localhost' if host in _LOOPBACK else host}:{listening.getsockname()[1]}/"
    application = create_app(house, allowed_hosts=() if host in _LOOPBACK else (host,))
    threading.Thread(target=_first_plan, args=(house,), daemon=True).start()
    say(f"The workbench is at {shown} (Ctrl-C ends it).")
    if opens_browser and _has_display():
        threading.Timer(0.5, webbrowser.open, args=(shown,)).start()
    configuration = uvicorn.Config(application, log_level="warning", access_log=False)
    uvicorn.Server(configuration).run(sockets=[listening])


def _listen(host: str, port: int | None) -> socket.socket:
    """A socket listening on the port, or on the first free one."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    candidates = [port] if port is not None else list(range(FIRST_PORT, FIRST_PORT + _PORTS_TRIED))
    reason = "no free port"
    for candidate in candidates:
        listening = socket.socket(family, socket.SOCK_STREAM)
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listening.bind((host, candidate))
            listening.listen(128)
        except (OSError, OverflowError) as error:
            listening.close()
            number = error.errno if isinstance(error, OSError) else None
            reason = "it is in use" if number == errno.EADDRINUSE else "it cannot be listened on"
            continue
        return listening
    raise PortTaken(host, candidates[0], reason)


def _first_plan(house: House) -> None:
    exercises = house.shelf.exercises()
    if not exercises:
        return
    with contextlib.suppress(Refusal):  # its page says it
        house.workbench(house.shelf.exercise(exercises[0].file.key)).plan({})


def _has_display() -> bool:
    return sys.platform in ("win32", "darwin") or bool(os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"))
