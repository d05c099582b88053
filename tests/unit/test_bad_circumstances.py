"""Bad circumstances: full disks, kills, two runs at once, clocks put back, odd files and numbers.

Real means wherever the system has them: a limit on the size of files for a full disk, a real kill in the
middle of a write, locks held by another thread. Each is met with whole files or one clear message.
"""

from __future__ import annotations

import contextlib
import os
import shutil
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

import halfglass
from halfglass.command_parts import writing
from halfglass.result import whole
from halfglass.result.whole import write_whole

SOURCE = Path(halfglass.__file__).parents[1]
BOATS = SOURCE.parent / "scenarios" / "boats"
DAY = """title = "Ten minutes"
boat = "boats/sedge.toml"
light_up = 08:15:00
aboard = { fuel = "steam coal", fuel_mass = "20 kg" }
firing = { working_pressure = "78 psi" }
route = [
    { step = "raise steam", until = "70 psi", at_most = "10 min" },
]
"""
Command = Callable[..., int]


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with a day of ten minutes, where the command is run."""
    shutil.copytree(BOATS, tmp_path / "boats")
    (tmp_path / "day.toml").write_text(DAY, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture(scope="module")
def prepared() -> None:
    """The plant's equations, compiled while there is room."""
    halfglass.run(halfglass.load(SOURCE.parent / "scenarios" / "01-quiet-lake-day.toml"))


@contextlib.contextmanager
def full_disk(after: int = 1000) -> Iterator[None]:
    """No file may grow beyond some bytes: the system refuses as it does when the disk is full."""
    resource = pytest.importorskip("resource")
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (after, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))


def files(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


LIMIT = ("limit", "day.toml", "firing.working_pressure", "--from", "40 psi", "--to", "60 psi", "--while",
         "no danger", "--out", "out")  # fmt: skip


@pytest.mark.parametrize(
    "arguments",
    [
        ("run", "day.toml", "--out", "out"),
        ("compare", "day.toml", "day.toml", "--out", "out"),
        ("card", "day.toml", "--out", "out/card.html"),
        LIMIT,
        ("spread", "day.toml", "--members", "8", "--jobs", "1", "--out", "out"),
        ("new", "boat", "mine.toml"),
    ],
    ids=lambda arguments: arguments[0],
)
def test_full_disk(
    arguments: tuple[str, ...], folder: Path, command: Command, capsys: pytest.CaptureFixture[str],
    prepared: None,
) -> None:  # fmt: skip
    """One message that names the file or folder, code 2; nothing of ours is half there."""
    before = files(folder)
    with full_disk():
        assert command(*arguments) == 2
    told = capsys.readouterr()
    assert told.err.count("cannot write") == 1 and "Traceback" not in told.err, told.err
    assert "File too large" in told.err or "disk" in told.err
    left = {name for name in files(folder).keys() - before.keys() if not name.startswith("out/ledger.sqlite")}
    assert left == set()


def test_full_disk_keeps_the_former_report(folder: Path, command: Command) -> None:
    assert command("run", "day.toml", "--out", "out") == 0
    before = files(folder / "out")
    (folder / "day.toml").write_text(DAY.replace("Ten", "Twice ten").replace("10 min", "20 min"))
    with full_disk():
        assert command("run", "day.toml", "--out", "out") == 2
    assert files(folder / "out") == before


@pytest.mark.skipif(not Path("/proc").is_dir(), reason="no folder here in which not even root may write")
def test_a_folder_that_may_not_be_written(
    folder: Path, command: Command, capsys: pytest.CaptureFixture[str]
) -> None:
    for arguments in (
        ("run", "day.toml"),
        ("spread", "day.toml"),
        ("compare", "day.toml", "day.toml"),
        LIMIT[:-2],
    ):
        assert command(*arguments, "--out", "/proc/reports") == 2
        told = capsys.readouterr().err
        assert told.count("cannot write into /proc/reports") == 1 and "running plan" not in told


def test_a_device_is_not_written_over(tmp_path: Path) -> None:
    """`--out /dev/null` as the superuser would put an ordinary file in its place."""
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    with pytest.raises(OSError, match="not an ordinary file"):
        write_whole(pipe, b"x")
    assert pipe.is_fifo() and [path.name for path in tmp_path.iterdir()] == ["pipe"]


def test_killed_in_the_middle_of_a_write(tmp_path: Path) -> None:
    """The former file is whole; what is left over goes with the first write an hour later."""
    report = tmp_path / "report.html"
    write_whole(report, b"old")
    code = (
        "import os, signal, sys\nfrom pathlib import Path\nfrom halfglass.result import whole\n"
        "whole.os.replace = lambda *_: os.kill(os.getpid(), signal.SIGKILL)\n"
        "whole.write_whole(Path(sys.argv[1]), b'new' * 100000)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(report)], env={**os.environ, "PYTHONPATH": str(SOURCE)}, check=False
    )
    assert done.returncode == -signal.SIGKILL
    assert report.read_bytes() == b"old"
    (left,) = tmp_path.glob(".*")
    write_whole(report, b"newer")
    assert left.exists()  # it might be another run's that is at work
    os.utime(left, (0.0, time.time() - whole.STALE - 1.0))
    write_whole(report, b"newest")
    assert files(tmp_path) == {"report.html": b"newest"}


def test_two_runs_write_one_after_the_other(tmp_path: Path) -> None:
    """Each writes its set alone, so that a folder holds the whole set of one or the other."""
    pytest.importorskip("fcntl")
    out, at_work, go_on = tmp_path / "out", threading.Event(), threading.Event()
    order: list[str] = []

    def first() -> None:
        with writing(out):
            write_whole(out / "timeline.csv", b"first")
            at_work.set()
            go_on.wait(20.0)
            write_whole(out / "report.html", b"first")
            order.append("first")

    def second() -> None:
        with writing(out):
            order.append("second")
            for name in ("timeline.csv", "report.html"):
                write_whole(out / name, b"second")

    threads = [threading.Thread(target=run) for run in (first, second)]
    threads[0].start()
    assert at_work.wait(20.0)
    threads[1].start()
    time.sleep(0.2)
    assert order == []  # the second waits
    go_on.set()
    for thread in threads:
        thread.join(20.0)
    assert order == ["first", "second"]
    assert files(out) == {"timeline.csv": b"second", "report.html": b"second"}


@pytest.mark.long
def test_two_real_runs_into_one_folder(folder: Path) -> None:
    for name in ("one", "other"):
        (folder / f"{name}.toml").write_text(DAY.replace("Ten minutes", f"the {name} day"), encoding="utf-8")
    line = [sys.executable, "-m", "halfglass", "run"]
    environment = {**os.environ, "PYTHONPATH": str(SOURCE)}
    for _ in range(3):
        runs = [
            subprocess.Popen([*line, f"{name}.toml", "--out", "out"], env=environment, stderr=subprocess.PIPE)
            for name in ("one", "other")
        ]
        assert [run.wait(120) for run in runs] == [0, 0]
        page = (folder / "out" / "report.html").read_text(encoding="utf-8")
        assert page.rstrip().endswith("</html>") and ("the one day" in page) != ("the other day" in page)
        assert not list((folder / "out").glob(".*"))


@pytest.mark.parametrize("date", ["2030-03-31", "2030-10-27"], ids=["put on", "put back"])
def test_the_night_the_clocks_change(
    date: str, folder: Path, command: Command, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A day has the hours it has: what zone the machine is in does not come into it."""
    text = DAY.replace("08:15:00", f"01:55:00\ndate = {date}")
    (folder / "day.toml").write_text(text, encoding="utf-8")
    found = []
    try:
        for zone in ("UTC", "Europe/Berlin"):
            monkeypatch.setenv("TZ", zone)
            time.tzset()
            assert command("run", "day.toml", "--out", zone.replace("/", "-")) == 0
            found.append(files(folder / zone.replace("/", "-")))
    finally:
        monkeypatch.undo()
        time.tzset()
    assert found[0] == found[1]
    assert f"{date}T02:04" in found[0]["as-written-timeline.csv"].decode().replace(" ", "T")


LEG = '    {{ step = "leg", to = "x", distance = "{}", throttle = "30 %" }},\n]'


def with_leg(distance: str) -> str:
    return DAY.replace("\n]", "\n" + LEG.format(distance))


FAULT = '[[fault]]\nkind = "oily feed"\noil = "1 g"\nat = { clock = 09:00:00 }\n'
ODD = {
    "1e308 kg": (
        DAY.replace('"20 kg"', '"1e308 kg"'),
        "day.toml:4:45: aboard.fuel_mass: '1e308 kg' has an exponent beyond all sense; this wants a mass",
    ),
    "400 digits": (DAY.replace('"20 kg"', f'"{"9" * 400} kg"'), "is too long to be a value with a unit"),
    "400 digits bare": (
        DAY.replace('"20 kg"', "9" * 400),
        "day.toml:4:45: aboard.fuel_mass: a huge bare number has no unit; this wants a mass",
    ),
    "a thousand million km": (
        with_leg("1000000000 km"),
        "day.toml:8:42: route[2].distance: '1000000000 km' is out of range; this must be more than 0 km",
    ),
    "a leg of no length": (with_leg("0 m"), "day.toml:8:42: route[2].distance: '0 m' is out of range"),
    "a look every millisecond": (
        DAY + '[crew]\nlook_every = "0.001 s"\n',
        "day.toml:10:14: crew.look_every: '0.001 s' is out of range; this must be from 5 s to 7200 s",
    ),
    "no route": (
        DAY[: DAY.index("route")] + "route = []\n",
        "day.toml:6:9: route: this list must have at least 1 entry; it has 0",
    ),
    "a fault too many": (DAY + FAULT * 101, "this list must have at most 100 entries; it has 101"),
    "name of two lines": (
        DAY.replace("Ten minutes", "Ten\\nminutes"),
        "day.toml:1:9: title: this has a line break or another character that cannot be seen (U+000A); "
        "a name stands on one line",
    ),
    "name with an escape": (DAY + '[[plan]]\nname = "\\u001b[31mred"\n', "cannot be seen (U+001B)"),
    "name turned about": (DAY + '[[plan]]\nname = "\\u202etxt"\n', "cannot be seen (U+202E)"),
    "name of 81 letters": (DAY.replace("Ten minutes", "x" * 81), "title: this is longer than 80 characters"),
    "nothing": ("", "day.toml: aboard: this is missing"),
    "lone carriage returns": (
        DAY.replace("\n", "\r"),
        "day.toml: its lines end in a carriage return alone; save it with the usual line ends",
    ),
    "Windows line ends": (
        DAY.replace("20 kg", "20 m").replace("\n", "\r\n"),
        "day.toml:4:45: aboard.fuel_mass: '20 m' is a length; this wants a mass",
    ),
    "byte order mark": ("\ufeff" + DAY.replace('"Ten', "Ten"), "day.toml:1:9:"),
}
"""A text and what is said of it: the place, the key and what is allowed."""


@pytest.mark.parametrize("what", ODD)
def test_odd_files_are_refused_at_their_place(
    what: str, folder: Path, command: Command, capsys: pytest.CaptureFixture[str]
) -> None:
    text, words = ODD[what]
    (folder / "day.toml").write_bytes(text.encode())
    before = files(folder)
    assert command("run", "day.toml") == 2
    told = capsys.readouterr()
    assert words in told.err and "Traceback" not in told.err and told.out == ""
    assert files(folder) == before


@pytest.mark.parametrize(
    "data",
    [DAY.rstrip("\n").encode(), b"\xef\xbb\xbf" + DAY.encode(), DAY.replace("\n", "\r\n").encode()],
    ids=["no newline at the end", "byte order mark", "Windows line ends"],
)
def test_harmless_oddities_are_taken(data: bytes, folder: Path, command: Command) -> None:
    (folder / "day.toml").write_bytes(data)
    assert command("check", "day.toml") == 0


def test_names_do_what_names_do(folder: Path, command: Command, capsys: pytest.CaptureFixture[str]) -> None:
    """Markup is text on the page; paths, dots and devices are plain file names in the folder."""
    names = ["../../<b>&amp;/x", "...", "{{ 1 }}"]
    text = DAY.replace("Ten minutes", "<script>alert(1)</script> & so on")
    plans = "".join(f'[[plan]]\nname = "{name}"\n' for name in names)
    (folder / "day.toml").write_text(text + plans, encoding="utf-8")
    assert command("run", "day.toml", "--out", "out") == 0
    page = (folder / "out" / "report.html").read_text(encoding="utf-8")
    assert "<script>alert" not in page and "&lt;script&gt;alert(1)&lt;/script&gt; &amp; so on" in page
    assert "../../&lt;b&gt;&amp;amp;/x" in page and "{{ 1 }}" in page
    assert len(list((folder / "out").iterdir())) == 1 + 3 * len(names)
    assert {path.name for path in folder.iterdir()} == {"boats", "day.toml", "out"}


def test_what_is_no_file(folder: Path, command: Command, capsys: pytest.CaptureFixture[str]) -> None:
    os.mkfifo(folder / "pipe.toml")
    for name, words in (("boats", "this is a folder"), ("pipe.toml", "this is not an ordinary file")):
        assert command("run", name) == 2
        assert words in capsys.readouterr().err
