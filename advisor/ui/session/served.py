"""What this app serves besides Streamlit's own: headers, and scripts that stand in the page before any field does.

The headers keep other sites from showing the app in a frame: a page that shows the app inside itself could have a
person tap on buttons that they do not see. Each script says what it is for. And it answers by its own names only:
a site that a person visits can have its name lead to this computer a moment later, and to the browser, as to Streamlit,
the app is then a page of that site, which may read and write all of it.
"""

from __future__ import annotations

from http import HTTPStatus
from importlib.resources import files
from ipaddress import ip_address
from urllib.parse import urlsplit

import streamlit as st
from starlette.datastructures import Headers, MutableHeaders
from starlette.middleware import Middleware
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send
from streamlit.runtime.memory_uploaded_file_manager import MemoryUploadedFileManager
from streamlit.runtime.uploaded_file_manager import UploadedFileRec
from streamlit.web.server import server
from streamlit.web.server.starlette import starlette_app

from advisor.ui.session.device import ONLY_HERE
from advisor.ui.session.state import DOUBLE_CLICK

HEADERS = {
    "Content-Security-Policy": "frame-ancestors 'self'",
    "X-Frame-Options": "SAMEORIGIN",  # for browsers that do not know the line above
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
}
_FILES = [files(__package__).joinpath(name) for name in ("links.js", "one_tap.js", "names.js")]
_WRITTEN = "".join(f"<script>{file.read_text('utf-8')}</script>" for file in _FILES)
SCRIPTS = _WRITTEN.replace("DOUBLE_CLICK_MS", f"{1000 * DOUBLE_CLICK:.0f}").encode()
MOST_HELD = 200_000_000  # bytes of the uploads of a visit: two of the largest (judgement)
# By these a browser would keep the page of another version of this app, whose script may be another.
OF_WHAT_IS_KEPT = ("etag", "last-modified")
ASKED_FOR_WHAT_IS_KEPT = (b"if-none-match", b"if-modified-since")
BY_ANOTHER_NAME = (
    "This app does not know the name by which you opened it.\n"
    "Open it by its address in numbers, such as http://192.168.1.20:8501.\n"
)


class ByItsOwnNames:
    """Lets through to an ASGI app what asks for a name that no other site can have; the rest is told how to ask."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "lifespan" or is_our_own(Headers(scope=scope).get("host", "")):
            await self.app(scope, receive, send)
        elif scope["type"] == "websocket":
            await send({"type": "websocket.close"})  # before it is accepted: the browser gets a refusal
        else:
            await PlainTextResponse(BY_ANOTHER_NAME, HTTPStatus.MISDIRECTED_REQUEST)(scope, receive, send)


def is_our_own(host: str) -> bool:
    """Tell whether a host is an address in numbers, or a name that the app was started with."""
    started_with = (st.get_option("server.address"), st.get_option("browser.serverAddress"))
    try:
        name = urlsplit(f"//{host}").hostname or ""
        return name in (*ONLY_HERE, *(str(own).lower() for own in started_with if own)) or bool(ip_address(name))
    except ValueError:  # it is no address
        return False


class WithHeaders:
    """Adds `HEADERS` to each answer of an ASGI app."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        async def send_with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                MutableHeaders(scope=message).update(HEADERS)
            await send(message)

        await self.app(scope, receive, send_with_headers if scope["type"] == "http" else send)


class WithScript:
    """Puts `SCRIPTS` into the head of each page of an ASGI app; what is no page passes as it is."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        is_get = scope["type"] == "http" and scope["method"] == "GET"
        if not is_get or "text/html" not in Headers(scope=scope).get("accept", ""):
            await self.app(scope, receive, send)
            return
        asked = [(name, value) for name, value in scope["headers"] if name not in ASKED_FOR_WHAT_IS_KEPT]
        page = _Page(send)
        await self.app({**scope, "headers": asked}, receive, page.take)


class _Page:
    """Collects an answer that is a page, and sends it with the script in it; another answer is sent on as it comes."""

    def __init__(self, send: Send) -> None:
        self.send = send
        self.start: Message = {}
        self.body = b""

    async def take(self, message: Message) -> None:
        if message["type"] == "http.response.start" and _is_page(message):
            self.start = message
        elif not self.start:
            await self.send(message)
        else:
            self.body += message.get("body", b"")
            if not message.get("more_body"):
                await self._send_with_script()

    async def _send_with_script(self) -> None:
        page = self.body.replace(b"<head>", b"<head>" + SCRIPTS, 1)
        headers = MutableHeaders(scope=self.start)
        for name in OF_WHAT_IS_KEPT:
            del headers[name]
        headers["content-length"] = str(len(page))
        await self.send(self.start)
        await self.send({"type": "http.response.body", "body": page})


def _is_page(start: Message) -> bool:
    """Tell whether an answer is a whole page to be shown, and no download."""
    headers = Headers(raw=start["headers"])
    is_html = headers.get("content-type", "").startswith("text/html")
    return is_html and start["status"] == 200 and "content-disposition" not in headers


class UploadsOfVisits(MemoryUploadedFileManager):
    """Holds what each visit uploads, at most `MOST_HELD` of it: a hundred large files would fill the memory."""

    def add_file(self, session_id: str, file: UploadedFileRec) -> None:
        """Hold a file; the oldest of the visit go where they are too much together."""
        super().add_file(session_id, file)
        held = list(self.file_storage[session_id].values())
        while len(held) > 1 and sum(len(each.data) for each in held) > MOST_HELD:
            self.remove_file(session_id, held.pop(0).file_id)


_streamlits_own = starlette_app.create_streamlit_middleware


def add_our_own() -> None:
    """Have the server that Streamlit makes next serve them: it asks this function for what comes first.

    Streamlit's public way to add middleware, its own `App`, does not open the browser at a start.
    """
    vars(server)["MemoryUploadedFileManager"] = UploadsOfVisits
    starlette_app.create_streamlit_middleware = lambda: [
        Middleware(WithHeaders),
        Middleware(ByItsOwnNames),
        *_streamlits_own(),
        Middleware(WithScript),  # after what packs the answers
    ]
