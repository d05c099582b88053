"""Who may talk to the classroom: only a page of this server, opened on this machine by whoever has the token.

The token stands in the fragment of the opened address (``#token=...``), which a browser never sends anywhere,
and the page says it in the first message of its websocket. A cookie would do worse here: cookies take no note
of the port, so any other server on this machine would be handed it, and "same site" holds for all of them.
As nothing is sent by the browser of its own accord, no foreign page can act in the user's name. The pages
themselves are the same for everybody and hold no secret; whatever is of the session goes by the websocket.
"""

from __future__ import annotations

import base64
import hmac
import re
import secrets
import time
from collections.abc import Callable
from hashlib import sha256
from pathlib import Path

from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from halfglass.result.whole import write_whole

LARGEST_MESSAGE = 4096
"""Bytes in a message from a window."""
MESSAGES_A_SECOND, MESSAGES_AT_ONCE = 30.0, 60.0
"""What a window may send: a slider dragged sends 20 a second at most."""

_HEADERS = {
    "Content-Security-Policy": "default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; "
    "img-src 'self' data:; frame-ancestors 'none'; base-uri 'none'; form-action 'none'",
    "Cache-Control": "no-store",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=()",
}
HEADERS = [(name.lower().encode(), value.encode()) for name, value in _HEADERS.items()]


def policy_for(page: str) -> str:
    """The policy of a page with its own style sheets in it and no script: those sheets, by their hashes."""
    hashes = [base64.b64encode(sha256(sheet.encode()).digest()).decode() for sheet in _SHEET.findall(page)]
    allowed = " ".join(f"'sha256-{one}'" for one in hashes)
    return f"default-src 'none'; style-src {allowed}; img-src data:; frame-ancestors 'none'; base-uri 'none'"


_SHEET = re.compile(r"<style>(.*?)</style>", re.DOTALL)


def hosts(port: int) -> tuple[str, ...]:
    """The names this server goes by; any other in `Host` is a foreign name bent to this address.

    >>> hosts(80), hosts(8460)
    (('127.0.0.1', 'localhost'), ('127.0.0.1:8460', 'localhost:8460'))
    """
    return tuple(name if port == 80 else f"{name}:{port}" for name in ("127.0.0.1", "localhost"))


class OwnPagesOnly:
    """Refuse a foreign Host or Origin, and put the strict headers on every answer.

    A websocket must name its origin: every browser does, and the same-origin rule does not cover websockets.
    """

    def __init__(self, app: ASGIApp, port: int) -> None:
        self.app = app
        self.hosts = hosts(port)
        self.origins = tuple(f"http://{host}" for host in self.hosts)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer, or pass on."""
        if scope["type"] not in ("http", "websocket"):
            await self.app(scope, receive, send)
            return

        async def send_with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                own = list(message.get("headers", ()))
                named = {name for name, _ in own}
                message = {**message, "headers": own + [pair for pair in HEADERS if pair[0] not in named]}
            await send(message)

        refusal = self.refusal(scope)
        if refusal is None:
            await self.app(scope, receive, send_with_headers)
        elif scope["type"] == "websocket":
            await send({"type": "websocket.close", "code": 1008, "reason": refusal})
        else:
            await PlainTextResponse(refusal, 403)(scope, receive, send_with_headers)

    def refusal(self, scope: Scope) -> str | None:
        """Why a request is refused; None if it is not."""
        named = [value.decode("latin-1").lower() for name, value in scope["headers"] if name == b"host"]
        if len(named) != 1 or named[0] not in self.hosts:
            return "refused: this classroom answers on 127.0.0.1 and localhost only"
        origins = [value.decode("latin-1").lower() for name, value in scope["headers"] if name == b"origin"]
        if scope["type"] == "websocket" and not origins:
            return "refused: no origin named"
        if any(origin not in self.origins for origin in origins):
            return "refused: this classroom talks to its own pages only"
        return None


def kept_token(folder: Path) -> str:
    """The token of a folder of records, made at the first start.

    It is kept, readable by its owner alone, so that an open page still has it when the server comes again.
    """
    path = folder / ".token"
    try:
        token = path.read_text(encoding="ascii").strip()
    except (FileNotFoundError, UnicodeDecodeError):
        token = ""
    if len(token) >= 32:
        return token
    token = secrets.token_urlsafe(32)
    write_whole(path, token.encode(), mode=0o600)
    return token


def is_token(said: str, token: str) -> bool:
    """Whether this is the token, in a time that tells nothing of it."""
    return hmac.compare_digest(said.encode(), token.encode())


class Pace:
    """How often one window may ask for something: a store that fills steadily and is drawn from.

    >>> now = [0.0]
    >>> pace = Pace(2.0, 3.0, lambda: now[0])
    >>> [pace.allows() for _ in range(4)]
    [True, True, True, False]
    >>> now[0] = 0.5
    >>> pace.allows(), pace.allows()
    (True, False)
    """

    def __init__(
        self,
        a_second: float = MESSAGES_A_SECOND,
        at_once: float = MESSAGES_AT_ONCE,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self._rate, self._most, self._clock = a_second, at_once, clock
        self._left, self._at = at_once, clock()
        self.refused = 0
        """Messages refused since the last that was let through."""

    def allows(self) -> bool:
        """Whether one more is let through now."""
        now = self._clock()
        self._left = min(self._most, self._left + (now - self._at) * self._rate)
        self._at = now
        if self._left < 1.0:
            self.refused += 1
            return False
        self._left -= 1.0
        self.refused = 0
        return True
