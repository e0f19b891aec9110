"""What this app's answers carry besides Streamlit's own: headers that keep other sites from showing the app in a frame.

A page that shows the app inside itself could have a person tap on buttons that they do not see.
"""

from __future__ import annotations

from starlette.datastructures import MutableHeaders
from starlette.middleware import Middleware
from starlette.types import ASGIApp, Message, Receive, Scope, Send
from streamlit.web.server.starlette import starlette_app

HEADERS = {
    "Content-Security-Policy": "frame-ancestors 'self'",
    "X-Frame-Options": "SAMEORIGIN",  # for browsers that do not know the line above
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
}


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


_streamlits_own = starlette_app.create_streamlit_middleware


def add_headers() -> None:
    """Have the server that Streamlit makes next add them: it asks this function for what comes first.

    Streamlit's public way to add middleware, its own `App`, does not open the browser at a start.
    """
    starlette_app.create_streamlit_middleware = lambda: [Middleware(WithHeaders), *_streamlits_own()]
