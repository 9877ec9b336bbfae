"""What stands before every page: who may ask, how much may be sent, and what a browser may load."""

from __future__ import annotations

import ipaddress
from collections.abc import Awaitable, Callable, Iterable, MutableMapping
from typing import Any
from urllib.parse import urlsplit

Scope = MutableMapping[str, Any]
Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
Application = Callable[[Scope, Receive, Send], Awaitable[None]]

# Nothing from elsewhere, no inline script; figures may carry no inline style either (their styles are classes).
CONTENT_SECURITY_POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "font-src 'self'",
        "img-src 'self'",
        "connect-src 'self'",
        "manifest-src 'self'",
        "form-action 'self'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
    )
)
HEADERS = (
    (b"content-security-policy", CONTENT_SECURITY_POLICY.encode()),
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"same-origin"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"cross-origin-resource-policy", b"same-origin"),
    (b"permissions-policy", b"camera=(), geolocation=(), microphone=()"),
)
# listening on these means on every address of this machine
EVERY_ADDRESS = frozenset({"0.0.0.0", "::"})
READING = frozenset({"GET", "HEAD", "OPTIONS"})


class Guard:
    """Refuses foreign hosts and foreign origins, and adds the headers that keep a page to itself.

    Only names of this machine are answered unless more hosts are allowed, so that a name pointed at 127.0.0.1 by
    somebody else's page reaches nothing (DNS rebinding). A request that changes or computes must come from our own
    page.
    """

    def __init__(self, application: Application, allowed_hosts: Iterable[str] = ()) -> None:
        self.application = application
        self.allowed_hosts = frozenset(host.lower() for host in allowed_hosts)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request (ASGI)."""
        if scope["type"] != "http":
            await self.application(scope, receive, send)
            return
        refusal = self._refusal(scope)
        if refusal is not None:
            await _plain(send, *refusal)
            return

        async def send_with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                present = {name.lower() for name, _ in message["headers"]}
                extra = [(name, value) for name, value in HEADERS if name not in present]
                if b"cache-control" not in present:
                    extra.append((b"cache-control", b"no-store"))
                message["headers"] = [*message["headers"], *extra]
            await send(message)

        await self.application(scope, receive, send_with_headers)

    def _refusal(self, scope: Scope) -> tuple[int, str] | None:
        headers = {name.lower(): value.decode("latin-1") for name, value in scope["headers"]}
        host = headers.get(b"host", "")
        if not self._is_known(_name_of(host)):
            return 421, f'This workbench does not answer for "{host}". Start it with --host to allow another name.\n'
        origin = headers.get(b"origin")
        if scope["method"] in READING or origin is None:
            return None
        if urlsplit(origin).netloc != host:
            return 403, "This request comes from another page and was not answered.\n"
        return None

    def _is_known(self, name: str) -> bool:
        if name == "localhost" or name in self.allowed_hosts:
            return True
        try:
            address = ipaddress.ip_address(name)
        except ValueError:
            return False
        # a bare address cannot be pointed elsewhere by somebody's name server
        return address.is_loopback or not EVERY_ADDRESS.isdisjoint(self.allowed_hosts)


def _name_of(host: str) -> str:
    """The name in a Host header, without port and brackets, lower case."""
    try:
        return (urlsplit(f"//{host}").hostname or "").lower()
    except ValueError:
        return ""


async def _plain(send: Send, status: int, text: str) -> None:
    body = text.encode()
    headers = [(b"content-type", b"text/plain; charset=utf-8"), (b"content-length", str(len(body)).encode()), *HEADERS]
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": body})
