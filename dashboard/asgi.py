"""The app as it is served: compressed for a site office on mobile data, and closed to the outside.

The pages load nothing from other hosts, and the policy in every answer has the browser refuse it
should a text of a file ask for that. The server itself looks nothing up.
"""

from __future__ import annotations

import socket
from pathlib import Path

import streamlit as st
from starlette.datastructures import MutableHeaders
from starlette.middleware import Middleware
from starlette.middleware.gzip import GZipMiddleware
from starlette.responses import RedirectResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send
from streamlit import net_util

LEAST_BYTES = 1000  # below, compressing saves nothing
LEVEL = 6  # a third of the time of 9 for nearly its size
# Source: W3C, Content Security Policy Level 3; what Streamlit needs was found by trying: its page
# and figures carry styles inline, plots on WebGL compile their code, and components come as blobs.
POLICY = "; ".join((
    "default-src 'self'",
    "script-src 'self' 'unsafe-inline' 'unsafe-eval' blob:",
    "style-src 'self' 'unsafe-inline'",
    "img-src 'self' data: blob:",
    "font-src 'self' data:",
    "media-src 'self' data: blob:",
    "connect-src 'self' data: blob:",
    "worker-src 'self' blob:",
    "frame-src 'self'",
    "frame-ancestors 'none'",
    "object-src 'none'",
    "base-uri 'self'",
    "form-action 'self'",
))  # fmt: skip
HEADERS = {
    "Content-Security-Policy": POLICY,
    "X-Frame-Options": "DENY",  # for browsers that do not know frame-ancestors
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",  # an address names piles and filters
}

EARLIER = {"/intake": "/import"}  # addresses of pages in older links
NOBODY = ("192.0.2.1", 9)


class SecurityHeaders:
    """Adds the headers to every answer."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer as the app does, with the headers."""

        async def send_with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                MutableHeaders(scope=message).update(HEADERS)
            await send(message)

        await self.app(scope, receive, send_with_headers)


class EarlierAddresses:
    """Leads from where a page was answered before to where it is."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer as the app does, or with the address of today, filters and all."""
        present = EARLIER.get(scope.get("path", "")) if scope["type"] == "http" else None
        if present is None:
            await self.app(scope, receive, send)
            return
        query = scope["query_string"].decode("ascii")
        answer = RedirectResponse(f"{present}?{query}" if query else present)
        await answer(scope, receive, send)


def _no_outside_address() -> None:
    """In place of Streamlit's look-up, which asks a server on the internet for our address."""


def _own_address() -> str | None:
    """In place of Streamlit's: where pages are answered, as their own origin is checked by it.

    On every address of the machine, the one that leads off it. Choosing a way sends nothing; the
    other end is an address for documentation, which nobody has (RFC 5737).
    """
    address: str | None = st.get_option("server.address")
    if address not in (None, "", "0.0.0.0", "::"):
        return address
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as way:
        try:
            way.connect(NOBODY)
        except OSError:
            return None
        own: str = way.getsockname()[0]
        return own


net_util.get_external_ip = _no_outside_address
net_util.get_internal_ip = _own_address

app = st.App(
    Path(__file__).with_name("app.py"),
    middleware=[
        Middleware(SecurityHeaders),
        Middleware(EarlierAddresses),
        Middleware(GZipMiddleware, minimum_size=LEAST_BYTES, compresslevel=LEVEL),
    ],
)
