"""The classroom's server: who is let in, what is refused, and that it lives through all of it."""

from __future__ import annotations

import asyncio
import json
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import httpx
import pytest
from websockets.asyncio.client import ClientConnection, connect
from websockets.exceptions import ConnectionClosed, InvalidStatus

from halfglass.classroom.journal import Journal
from halfglass.classroom.room import Room
from halfglass.classroom.security import HEADERS
from halfglass.classroom.server import FULL, MOST_WINDOWS, STRANGER, listening, server_for
from halfglass.classroom.session import Session
from halfglass.classroom.shelf import Shelf

TOKEN = "t" * 43
DAY = str(Path(__file__).parents[2] / "scenarios" / "10-shrink-and-swell.toml")
SOON = 10.0  # s to wait for an answer before the test fails


class Served:
    """A classroom served in a thread of its own."""

    def __init__(self, room: Room, port: int = 0) -> None:
        self.room, self.told = room, list[str]()
        self.listener = listening(port)
        self.port = self.listener.getsockname()[1]
        self.server = server_for(room, TOKEN, self.listener, self.told.append)
        self.thread = threading.Thread(target=self.server.run, kwargs={"sockets": [self.listener]})
        self.thread.start()
        while not self.server.started:
            time.sleep(0.01)

    @property
    def host(self) -> str:
        return f"127.0.0.1:{self.port}"

    def get(self, path: str, **headers: str) -> httpx.Response:
        return httpx.get(f"http://{self.host}{path}", headers=headers)

    def connect(self, **changes: Any) -> Any:
        return connect(
            f"ws://{self.host}/live", **{"origin": f"http://{self.host}", "max_size": None} | changes
        )

    def stop(self) -> None:
        self.server.should_exit = True
        self.thread.join()
        self.listener.close()


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    serving = Served(Room(Shelf(), Journal(tmp_path_factory.mktemp("kept")), DAY))
    yield serving
    serving.stop()


async def hear(window: ClientConnection, wanted: str) -> dict[str, Any]:
    """The next message of a kind."""
    async with asyncio.timeout(SOON):
        while True:
            message: dict[str, Any] = json.loads(await window.recv())
            if message["is"] == wanted:
                return message


async def let_in(window: ClientConnection) -> dict[str, Any]:
    """Say the token, and hear the first message of all."""
    await window.send(json.dumps({"do": "hello", "token": TOKEN}))
    return await hear(window, "hello")


async def still_lives(served: Served) -> None:
    """The server answers a window as it should."""
    async with served.connect() as window:
        await let_in(window)
        await hear(window, "frame")
    assert served.told == []


def test_it_listens_on_this_machine_only(served: Served) -> None:
    assert served.listener.getsockname()[0] == "127.0.0.1"


def test_every_answer_has_the_strict_headers(served: Served) -> None:
    for path in ("/", "/page/classroom.js", "/vendor/uPlot.iife.min.js", "/nothing", "/page/..%2froom.py"):
        answer = served.get(path)
        for name, value in HEADERS:
            assert answer.headers[name.decode()] == value.decode(), path
    policy = served.get("/").headers["content-security-policy"]
    assert policy.startswith("default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'")
    assert "unsafe" not in policy
    assert "server" not in served.get("/").headers


def test_the_page_holds_no_token_and_asks_for_nothing_outside(served: Served) -> None:
    page = served.get("/").text
    assert TOKEN not in page
    assert "http" not in page.replace("http-equiv", "")
    assert "<style" not in page and "onclick" not in page and 'style="' not in page


@pytest.mark.parametrize(
    "path",
    [
        "/page/../room.py",
        "/page/%2e%2e/room.py",
        "/page/..%2froom.py",
        "/vendor/..%2freport.js",
        "/page/",
        "/page/.",
        "/page/index.html%00.js",
        "/room.py",
        "/worksheet/nothing",
        "/worksheet/..%2f..%2froom",
    ],
)
def test_nothing_but_the_page_is_handed_out(served: Served, path: str) -> None:
    answer = served.get(path)
    assert answer.status_code == 404
    assert "halfglass" not in answer.text


@pytest.mark.parametrize(
    "host", ["evil.example", "127.0.0.1", "127.0.0.1:1", "localhost.evil.example", "", "[::1]"]
)
def test_a_foreign_host_is_refused(served: Served, host: str) -> None:
    answer = served.get("/", Host=host)
    assert answer.status_code in (400, 403)
    assert "<html" not in answer.text
    assert served.get("/", Host=f"localhost:{served.port}").status_code == 200


@pytest.mark.parametrize("origin", ["http://evil.example", "null", "https://127.0.0.1", "http://127.0.0.1:1"])
def test_a_foreign_origin_is_refused(served: Served, origin: str) -> None:
    assert served.get("/", Origin=origin).status_code == 403

    async def ask() -> None:
        with pytest.raises(InvalidStatus) as refused:
            await served.connect(origin=origin)
        assert refused.value.response.status_code == 403
        with pytest.raises(InvalidStatus):
            await served.connect(origin=None)
        with pytest.raises(InvalidStatus):
            await connect(
                f"ws://{served.host}/live",
                origin=f"http://{served.host}",
                additional_headers={"Host": "evil.example"},
            )
        await still_lives(served)

    asyncio.run(ask())


@pytest.mark.parametrize(
    "first",
    [
        '{"do":"hello","token":""}',
        '{"do":"hello","token":"' + "t" * 42 + '"}',
        '{"do":"run","on":true}',
        "",
        "{",
        '{"do":"hello"}',
        b"\x00\xff",
        '{"do":"hello","token":"tök"}',
    ],
)
def test_without_the_token_nothing_is_told(served: Served, first: str | bytes) -> None:
    async def ask() -> None:
        async with served.connect() as window:
            await window.send(first)
            assert json.loads(await window.recv())["is"] == "away"
            await window.wait_closed()
        assert window.close_code == STRANGER
        await still_lives(served)

    asyncio.run(ask())


WRONG = [
    "",
    "{",
    "[]",
    "null",
    "1",
    '"run"',
    '{"do":"nothing"}',
    '{"do":"run"}',
    '{"do":"run","on":1}',
    '{"do":"run","on":true,"x":1}',
    '{"do":"set","control":"throttle","to":"1"}',
    '{"do":"set","control":"throttle","to":NaN}',
    '{"do":"set","control":"throttle","to":1e99}',
    '{"do":"set","control":"","to":1}',
    '{"do":"set","control":"__class__","to":1}',
    '{"do":"set","control":"throttle"}',
    '{"do":"push","control":"throttle"}',
    '{"do":"set","control":"charge","to":1}',
    '{"do":"push","control":"charge","choice":"gold"}',
    '{"do":"rewind","to":null}',
    '{"do":"open","lesson":"../../etc/passwd"}',
    '{"do":"open","lesson":"/etc/passwd"}',
    '{"do":"stage","to":"compare"}',
    '{"do":"predict","points":[]}',
    '{"do":"predict","points":[[0,1],[1]]}',
    '{"do":"answer","answer":0}',
    '{"do":"export","form":"exe"}',
    '{"do":"hello","token":"' + TOKEN + '"}',
    "[" * 2000,
    '{"a":' * 600 + "1" + "}" * 600,
    "\ud83d",
]


def test_what_is_not_understood_is_refused_in_words(served: Served) -> None:
    async def ask() -> None:
        async with served.connect() as window:
            await let_in(window)
            for text in WRONG[:-1]:
                await window.send(text)
                told = await hear(window, "notice")
                assert told["text"], text
            await window.send(b"\x00\x01\xff")
            assert (await hear(window, "notice"))["text"]
            await window.send('{"do":"set","control":"throttle","to":30}')
            frame = await hear(window, "frame")
            while frame["values"]["throttle"] != 30:
                frame = await hear(window, "frame")
        await still_lives(served)

    asyncio.run(ask())


def test_a_message_too_large_ends_that_window_only(served: Served) -> None:
    async def ask() -> None:
        async with served.connect() as other:
            await let_in(other)
            async with served.connect() as window:
                await let_in(window)
                with pytest.raises(ConnectionClosed):
                    await window.send('{"do":"run","on":' + " " * 5000 + "true}")
                    async with asyncio.timeout(SOON):
                        while True:
                            await window.recv()
            assert window.close_code == 1009
            await other.send('{"do":"steer"}')
            await other.send('{"do":"run","on":true}')
            frame = await hear(other, "frame")
            while not frame["running"]:
                frame = await hear(other, "frame")
        await still_lives(served)

    asyncio.run(ask())


def test_numbers_out_of_range_are_clamped(served: Served) -> None:
    async def ask() -> None:
        async with served.connect() as window:
            told = await let_in(window)
            ranges = {one["name"]: one for one in told["controls"] if one["kind"] != "push"}
            for name, one in ranges.items():
                for asked, wanted in ((-1e9, one["lowest"]), (1e9, one["highest"])):
                    if name in ("lines", "spirit_cup") or one["group"] == "faults":
                        continue
                    await window.send(json.dumps({"do": "set", "control": name, "to": asked}))
                    frame = await hear(window, "frame")
                    while frame["values"][name] != pytest.approx(wanted):
                        frame = await hear(window, "frame")
            await window.send('{"do":"speed","to":1e9}')
            while (await hear(window, "frame"))["speed"] != 120:
                pass
            await window.send('{"do":"rewind","to":-5}')
            await window.send('{"do":"rewind","to":1e9}')
            assert [one["from"] for one in (await hear(window, "branches"))["list"]][-1] == 0.0

    asyncio.run(ask())


def test_who_asks_too_fast_is_slowed_and_then_shut_out(served: Served) -> None:
    before = served.room.play.since

    async def ask() -> None:
        async with served.connect() as window:
            await let_in(window)
            with pytest.raises(ConnectionClosed):
                async with asyncio.timeout(SOON):
                    for _ in range(5000):
                        await window.send('{"do":"step"}')
                    while True:
                        await window.recv()
        assert (
            served.room.play.since - before < 200.0
        )  # of 5000 steps of a second those that were let through
        await still_lives(served)

    asyncio.run(ask())


def test_two_hundred_clients(served: Served) -> None:
    """As many as there is room for are let in, the rest are told so; one that leaves makes room."""

    async def ask() -> None:
        async def come() -> tuple[str, ClientConnection]:
            window = await served.connect(open_timeout=60)
            try:
                await window.send(json.dumps({"do": "hello", "token": TOKEN}))
                async with asyncio.timeout(60):
                    return json.loads(await window.recv())["is"], window
            except ConnectionClosed:
                return "away", window

        came = await asyncio.gather(*(come() for _ in range(200)))
        inside = [window for said, window in came if said == "hello"]
        outside = [window for said, window in came if said == "away"]
        assert len(inside) == MOST_WINDOWS and len(outside) == 200 - MOST_WINDOWS
        for window in outside:
            await window.wait_closed()
            assert window.close_code == FULL
        for window in inside:  # gone without a word, with much unread
            window.transport.abort()
        while served.room.windows:
            await asyncio.sleep(0.05)
        await still_lives(served)

    asyncio.run(ask())


def test_strangers_who_say_nothing_take_room_only_for_a_while(
    served: Served, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("halfglass.classroom.server.SAYS_WHO", 0.3)

    async def ask() -> None:
        silent = [await served.connect() for _ in range(MOST_WINDOWS)]
        async with served.connect() as window:
            assert (await hear(window, "away"))["text"].startswith("There are")
        for one in silent:
            async with asyncio.timeout(SOON):
                await one.wait_closed()
        await still_lives(served)

    asyncio.run(ask())


def test_one_steers_and_others_watch_until_they_take_the_controls(served: Served) -> None:
    async def ask() -> None:
        async with served.connect() as first, served.connect() as second:
            await let_in(first)
            await let_in(second)
            assert (await hear(second, "frame"))["mine"] is False
            await second.send('{"do":"set","control":"throttle","to":50}')
            assert "steers" in (await hear(second, "notice"))["text"]
            await second.send('{"do":"steer"}')
            while not (await hear(second, "frame"))["mine"]:
                pass
            while (await hear(first, "frame"))["mine"]:
                pass
            await second.send('{"do":"set","control":"throttle","to":50}')
            while (await hear(first, "frame"))["values"]["throttle"] != 50:
                pass
            await second.close()
            while (await hear(first, "frame"))["steered"]:
                pass
            await first.send('{"do":"steer"}')
            while not (await hear(first, "frame"))["mine"]:
                pass

    asyncio.run(ask())


def test_a_failure_of_the_model_is_told_and_the_server_lives(
    served: Served, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(self: Session, time: float) -> None:
        raise ZeroDivisionError("made for this test")

    async def ask() -> None:
        async with served.connect() as window:
            await let_in(window)
            with monkeypatch.context() as patched:
                patched.setattr(Session, "advance_to", fail)
                await window.send('{"do":"run","on":true}')
                assert "made for this test" in (await hear(window, "notice"))["text"]
            assert len(served.told) == 1 and "halfglass classroom" in served.told[0]
            served.told.clear()
        await still_lives(served)

    asyncio.run(ask())


def test_the_port_in_use_is_an_error(served: Served) -> None:
    with pytest.raises(OSError):
        listening(served.port)
