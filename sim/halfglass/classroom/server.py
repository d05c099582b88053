"""The classroom's server: its pages, the websocket of each window, and the beat that lets time go.

One event loop does it all: a turn of the plant takes a millisecond or two, so nothing else need share the
session and there is nothing to lock.
"""

from __future__ import annotations

import asyncio
import contextlib
import json
import socket
import time
from collections.abc import AsyncIterator, Callable
from importlib.resources import files
from pathlib import PurePosixPath

import uvicorn
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import HTMLResponse, PlainTextResponse, Response
from starlette.routing import Route, WebSocketRoute
from starlette.types import ASGIApp
from starlette.websockets import WebSocket, WebSocketDisconnect

from halfglass.classroom.messages import greeting, wish
from halfglass.classroom.room import Refused, Room, Window
from halfglass.classroom.security import LARGEST_MESSAGE, OwnPagesOnly, Pace, is_token, policy_for

BEAT = 0.1
"""s between two frames."""
MOST_WINDOWS = 40
"""Windows open at once; the next are told so and left out."""
MOST_CONNECTIONS = 400
"""Connections of any kind; those beyond are answered with 503."""
SAYS_WHO = 5.0
"""s a window has to say its token."""
MOST_REFUSED = 300
"""Messages in a row over the pace, after which a window is shut out."""
FULL, STRANGER, TOO_FAST = 4013, 4001, 4008
"""Codes a websocket is closed with; 4000 to 4999 are for an application's own use (RFC 6455, 7.4.2)."""

_TYPES = {".html": "text/html", ".css": "text/css", ".js": "text/javascript", ".svg": "image/svg+xml"}


def application(room: Room, token: str, port: int, tell: Callable[[str], None]) -> ASGIApp:
    """The classroom as an ASGI application that answers only to its own host names at this port."""
    classroom = _Classroom(room, token, tell)
    routes = [
        Route("/", classroom.page),
        Route("/page/{name}", classroom.page),
        Route("/vendor/{name}", classroom.vendored),
        Route("/worksheet/{name}", classroom.worksheet),
        WebSocketRoute("/live", classroom.live),
    ]
    return OwnPagesOnly(Starlette(routes=routes, lifespan=classroom.lifespan), port)


def listening(port: int) -> socket.socket:
    """A socket on this machine's loopback alone; port 0 takes any that is free. OSError if it is in use."""
    return socket.create_server(("127.0.0.1", port))


def server_for(
    room: Room, token: str, listener: socket.socket, tell: Callable[[str], None]
) -> uvicorn.Server:
    """The server for a socket that listens, with its limits; `tell` hears of our own failures."""
    app = application(room, token, listener.getsockname()[1], tell)
    return uvicorn.Server(
        uvicorn.Config(
            app,
            log_level="error",
            access_log=False,
            server_header=False,
            proxy_headers=False,
            ws="websockets-sansio",
            ws_max_size=LARGEST_MESSAGE,
            ws_per_message_deflate=False,
            timeout_graceful_shutdown=1,
            limit_concurrency=MOST_CONNECTIONS,
        )
    )


def serve(room: Room, token: str, listener: socket.socket, tell: Callable[[str], None]) -> None:
    """Serve until interrupted."""
    with contextlib.suppress(KeyboardInterrupt):
        server_for(room, token, listener, tell).run(sockets=[listener])


class _Classroom:
    """What the routes share."""

    def __init__(self, room: Room, token: str, tell: Callable[[str], None]) -> None:
        self.room, self.token, self.tell = room, token, tell
        self.strangers = 0
        self.windows: dict[Window, asyncio.Event] = {}

    @contextlib.asynccontextmanager
    async def lifespan(self, _: Starlette) -> AsyncIterator[None]:
        """Time goes while the server stands."""
        beat = asyncio.create_task(self.beat())
        try:
            yield
        finally:
            beat.cancel()
            self.room.close()

    async def beat(self) -> None:
        """Turn the room ten times a second, and wake the windows when there is something to show."""
        before = time.monotonic()
        while True:
            await asyncio.sleep(max(0.0, before + BEAT - time.monotonic()))
            now = time.monotonic()
            try:
                self.room.turn(now - before)
            except (
                Exception
            ) as error:  # the model failed: time is held, the windows are told, the server lives
                self.tell(self.room.failed(error))
            before = now
            self.wake()

    def wake(self) -> None:
        """Let the windows send what is new."""
        if self.room.take_news():
            for news in self.windows.values():
                news.set()

    async def page(self, request: Request) -> Response:
        """The page and its parts."""
        return _file("halfglass.classroom", "page", request.path_params.get("name", "index.html"))

    async def vendored(self, request: Request) -> Response:
        """The line charts, as the report ships them."""
        return _file("halfglass.report", "live/vendor", request.path_params["name"])

    async def worksheet(self, request: Request) -> Response:
        """The printable page of a lesson; the same for everybody."""
        page = self.room.worksheet(request.path_params["name"])
        if page is None:
            return _nothing_here()
        return HTMLResponse(page, headers={"Content-Security-Policy": policy_for(page)})

    async def live(self, connection: WebSocket) -> None:
        """One window, from its first message until it is gone."""
        await connection.accept()
        if len(self.windows) + self.strangers >= MOST_WINDOWS:
            await _send_away(
                connection, FULL, f"There are {MOST_WINDOWS} windows open already. Close one and try again."
            )
            return
        self.strangers += 1
        try:
            window = await self._welcome(connection)
        finally:
            self.strangers -= 1
        if window is None:
            return
        news = self.windows[window] = asyncio.Event()
        sender = asyncio.create_task(self._send(connection, window, news))
        try:
            await self._listen(connection, window)
        finally:
            sender.cancel()
            del self.windows[window]
            self.room.leave(window)
            self.wake()

    async def _welcome(self, connection: WebSocket) -> Window | None:
        """A window that said the token, and has been told all there is; None if it is a stranger."""
        try:
            text = await asyncio.wait_for(_text(connection), SAYS_WHO)
        except TimeoutError:
            text = ""
        if text is None:
            return None
        hello = greeting(text)
        if hello is None or not is_token(hello.token, self.token):
            await _send_away(
                connection, STRANGER, "Open the address that the terminal shows: this page has another token."
            )
            return None
        window = self.room.join(hello.window)
        self.wake()
        return window

    async def _send(self, connection: WebSocket, window: Window, news: asyncio.Event) -> None:
        """Send a window what is new, as fast as it takes it: what it missed meanwhile goes in one piece."""
        with contextlib.suppress(WebSocketDisconnect, RuntimeError):  # gone between two frames
            while True:
                for text in self.room.news_for(window):
                    await connection.send_text(text)
                await news.wait()
                news.clear()

    async def _listen(self, connection: WebSocket, window: Window) -> None:
        """Do what a window asks for, in its order, as far as it is allowed and understood."""
        pace = Pace()
        while (text := await _text(connection)) is not None:
            if not pace.allows():
                if pace.refused > MOST_REFUSED:
                    await _send_away(connection, TOO_FAST, "Too many messages.")
                    return
                continue
            try:
                self.room.do(window, wish(text))
            except (Refused, ValueError) as refusal:
                self.room.tell(window, str(refusal))
                self.windows[window].set()
            except Exception as error:  # as in `beat`
                self.tell(self.room.failed(error))
            self.wake()


async def _text(connection: WebSocket) -> str | None:
    """The next text message; None once the window is gone. What is not text counts as empty."""
    message = await connection.receive()
    return None if message["type"] == "websocket.disconnect" else message.get("text") or ""


async def _send_away(connection: WebSocket, code: int, why: str) -> None:
    with contextlib.suppress(WebSocketDisconnect, RuntimeError):
        await connection.send_text(json.dumps({"is": "away", "text": why}))
        await connection.close(code, why)


def _file(package: str, folder: str, name: str) -> Response:
    """A file of ours by its bare name; nothing but the types a page is made of."""
    kind = _TYPES.get(PurePosixPath(name).suffix)
    path = files(package).joinpath(folder, name)
    if kind is None or PurePosixPath(name).name != name or not path.is_file():
        return _nothing_here()
    return Response(path.read_bytes(), media_type=kind)


def _nothing_here() -> Response:
    return PlainTextResponse("nothing here", 404)
