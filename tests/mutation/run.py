"""Mutation testing of plant and verdict: are small faults in the code noticed by the tests?

    python tests/mutation/run.py [--package plant|result] [--module NAME] [--sample N] [--seed N]

Our own and not a general library: those we know write each fault to a file and start the tests anew, which
here means compiling the plant (half a minute) or importing it (seconds) for each. Here the tests are
collected once; for each fault a process is forked, the fault put in by exchanging code objects (`swap.py`),
and the tests that go through that function are run, quickest first, until one fails. The plant runs as plain
Python (HALFGLASS_PLAIN=1), verdict and day compiled, with the plant as it is. Which tests go through which
function is recorded once for each state of a test file, in the system's temporary folder. Tests longer than
`LONGEST` are left out, and the golden days for the plant; so the whole suite notices more than is told here.

Faults that change nothing anybody could see stand in `equivalent.txt` with the reason, and are told apart.
"""

from __future__ import annotations

import argparse
import contextlib
import hashlib
import json
import os
import random
import signal
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from types import FrameType
from typing import Any

HERE = Path(__file__).resolve().parent
ROOT = HERE.parents[1]
PROGRAM = ROOT / "sim" / "halfglass"
EQUIVALENT = HERE / "equivalent.txt"

LONGEST = {"plant": 5.0, "result": 8.0}
"""s of processor time: longer tests are not used."""
SPENT = {"plant": 6.0, "result": 8.0}
"""s of tests spent on one fault before it is called survived."""
EXAMPLES = 30
"""Examples of each property, a quarter of what `pytest` tries."""
LEAST = 3
"""Faults drawn from a module, however small."""

# compiling, bare tables of names and records hold no equations
_NOT_PLANT = ("__init__", "compile", "parameters", "state", "reading")
MODULES = {
    "plant": [p for p in sorted((PROGRAM / "plant").glob("*.py")) if p.stem not in _NOT_PLANT],
    "result": [
        *(PROGRAM / "result" / f"{name}.py" for name in (
            "causes", "causes_boiler", "causes_stores", "energy_flow", "limits", "nearest", "spells",
            "stretch", "verdict",
        )),
        PROGRAM / "day" / "machinery.py", PROGRAM / "day" / "record.py",
    ],
}  # fmt: skip
TESTS = {
    "plant": ["sim/halfglass/plant", "tests/property", "tests/published", *(
        f"tests/unit/test_{name}.py" for name in (
            "astern", "boiler_shapes", "burner", "catalogue",
            "components_by_hand", "condenser_oil_and_hands", "exposure_and_lean",
            "hull_and_screw", "level_responses", "march", "marcher_edges", "plant_doings", "plant_flows",
            "plant_rates", "steam", "water_flows",
        )
    )],
    "result": ["sim/halfglass/result", *(
        f"tests/unit/test_{name}.py" for name in (
            "card", "cause_edges", "cause_shares", "causes", "energy_vessels", "machinery", "nearest",
            "record", "route_strip", "spell_edges", "stops", "store_edges", "timeline", "verdict",
            "verdict_edges",
        )
    )],
}  # fmt: skip
LEFT_OUT = ("tests/property/test_scenario_text.py",)

Touched = dict[str, dict[str, Any]]


def drawn(package: str, only: str | None, sample: int, seed: int) -> list[Any]:
    """A fair sample: from each module in proportion to its sites, never fewer than LEAST of them."""
    import mutants

    random_ = random.Random(seed)
    trees = {path: mutants.read(path) for path in MODULES[package] if only in (None, path.stem)}
    sites = {path: mutants.sites_of(tree) for path, tree in trees.items()}
    every = sum(map(len, sites.values()))
    found = []
    for path, tree in trees.items():
        count = min(len(sites[path]), max(LEAST, round(sample * len(sites[path]) / every)))
        for site in sorted(random_.sample(sites[path], count), key=lambda site: site.line):
            found.append(
                (path, mutants.mutant_at(path.stem, tree, site, random_.randrange(len(site.changes))))
            )
    return found


def survivors(package: str, told: Path) -> list[Any]:
    """The faults that survived an earlier run, as far as they are still in the code."""
    import mutants

    left = {row["fault"] for row in json.loads(told.read_text()) if row["result"] == "survived"}
    places = {tuple(fault.split(" | ")[:3]) for fault in left}
    found = []
    for path in MODULES[package]:
        tree = mutants.read(path)
        for site in mutants.sites_of(tree):
            for which, (kind, _) in enumerate(site.changes):
                if (path.stem, site.function, kind) in places:
                    fault = mutants.mutant_at(path.stem, tree, site, which)
                    found += [(path, fault)] if str(fault) in left else []
    return found


def known_equivalent() -> dict[str, str]:
    """Faults that change nothing, with the reason."""
    lines = [line for line in EQUIVALENT.read_text().splitlines() if line and not line.startswith("#")]
    return {key.strip(): why.strip() for key, _, why in (line.rpartition(" || ") for line in lines)}


def _last(function: Any) -> Any:
    import pytest

    return pytest.hookimpl(trylast=True)(function)


class Faults:
    """The pytest plugin that takes the place of the usual loop over the tests."""

    def __init__(self, package: str, faults: list[Any], told: Path | None) -> None:
        self.package, self.faults, self.told = package, faults, told
        self.rows: list[dict[str, Any]] = []
        self.failed: list[str] = []
        self.plugins: Any = None

    @_last
    def pytest_configure(self) -> None:
        """Fewer examples, and a failing one is not made smaller: that it fails is all that is asked."""
        from hypothesis import Phase, settings

        settings.register_profile(
            "mutation",
            settings.get_profile("steady"),
            max_examples=EXAMPLES,
            phases=(Phase.explicit, Phase.generate),
        )
        settings.load_profile("mutation")

    def pytest_runtest_logreport(self, report: Any) -> None:
        if report.failed:
            self.failed.append(report.nodeid)

    def pytest_runtestloop(self, session: Any) -> bool:
        items = {item.nodeid: item for item in session.items}
        self.plugins = session.config.pluginmanager
        touched = self._touched(items)
        equivalent = known_equivalent()
        for path, fault in self.faults:
            begun = time.monotonic()
            ways = self._tests_of(path, fault, touched)
            if str(fault) in equivalent:
                result, by = "equivalent", equivalent[str(fault)]
            elif not ways:
                result, by = "survived", "no test goes here"
            else:
                result, by = self._tried(path, fault, [items[name] for name in ways], touched)
            self.rows.append(
                {
                    "module": fault.module,
                    "line": fault.line,
                    "fault": str(fault),
                    "result": result,
                    "by": by,
                    "tests": len(ways),
                    "seconds": round(time.monotonic() - begun, 1),
                }
            )
            if result == "survived":
                print(f"\nsurvived ({len(ways)} tests) line {fault.line}: {fault}", flush=True)
            if self.told:
                self.told.write_text(json.dumps(self.rows, indent=1))
        return True

    def _tests_of(self, path: Path, fault: Any, touched: Touched) -> list[str]:
        """Tests that go through the faulty function, quickest first, as many as there is time for."""
        file = str(path.relative_to(PROGRAM))
        # what stands in a table of short functions is used by whoever calls one of them
        wanted = {f"{file}:{fault.function}"} if fault.function else {*_users(fault), f"{file}:<lambda>"}
        through = [
            (seen["seconds"], name)
            for name, seen in touched.items()
            if seen["passed"] and any(_without_locals(place) in wanted for place in seen["places"])
        ]
        names, left = [], SPENT[self.package]
        for seconds, name in sorted(through):
            left -= seconds
            if left >= 0.0 or not names:
                names.append(name)
        return names

    def _tried(self, path: Path, fault: Any, items: list[Any], touched: Touched) -> tuple[str, str]:
        """Run tests on a fault in a forked process: what came of it and by which test."""
        reading, writing = os.pipe()
        child = os.fork()
        if child == 0:
            self._be_child(reading)
            allowed = 6.0 + 2.0 * sum(touched[item.nodeid]["seconds"] for item in items)
            signal.signal(signal.SIGPROF, signal.SIG_DFL)
            signal.setitimer(signal.ITIMER_PROF, allowed)
            try:
                import swap

                swap.put_in(fault, path)
                for item in items:
                    item.ihook.pytest_runtest_protocol(item=item, nextitem=None)
                    if self.failed:
                        break
            except BaseException as error:
                self.failed.append(repr(error))
            os.write(writing, (self.failed[0] if self.failed else "").encode()[:4000])
            os._exit(0)
        os.close(writing)
        with os.fdopen(reading, "rb") as pipe:
            by = pipe.read().decode()
        _, status = os.waitpid(child, 0)
        if status:
            return "noticed", f"ended by signal {os.WTERMSIG(status)}"
        return ("noticed", by) if by else ("survived", "")

    def _be_child(self, reading: int) -> None:
        os.close(reading)
        self.failed.clear()
        self.plugins.unregister(name="terminalreporter")
        nothing = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nothing, 1)
        os.dup2(nothing, 2)

    def _touched(self, items: dict[str, Any]) -> Touched:
        """Which test goes through which function and how long it takes, file by file from the cache."""
        files: dict[str, list[Any]] = {}
        for name, item in items.items():
            files.setdefault(name.partition("::")[0], []).append(item)
        found: Touched = {}
        for file, tests in files.items():
            digest = hashlib.sha256((ROOT / file).read_bytes() + repr(sorted(items_of(tests))).encode())
            kept = (
                Path(tempfile.gettempdir())
                / "halfglass-mutation"
                / f"{self.package}-{digest.hexdigest()[:16]}"
            )
            if not kept.exists():
                _compile()
                kept.parent.mkdir(exist_ok=True)
                print(f"\nrecording {file}", flush=True)
                child = os.fork()
                if child == 0:
                    self._be_child(os.open(os.devnull, os.O_RDONLY))
                    seen = {item.nodeid: self._seen(item) for item in tests}
                    kept.write_text(json.dumps(seen))
                    os._exit(0)
                os.waitpid(child, 0)
            found.update(json.loads(kept.read_text()))
        return found

    def _seen(self, item: Any) -> dict[str, Any]:
        """Run one test and note what it goes through; a test too long for us does not count as passed."""
        codes: set[Any] = set()
        self.failed.clear()

        def note(frame: FrameType, event: str, argument: Any) -> None:
            codes.add(frame.f_code)

        def late(*_: Any) -> None:
            self.failed.append("too long")
            import pytest

            raise pytest.skip.Exception("too long for mutation testing")

        signal.signal(signal.SIGPROF, late)
        begun = time.process_time()
        signal.setitimer(signal.ITIMER_PROF, LONGEST[self.package], 0.5)
        with contextlib.suppress(BaseException):
            sys.settrace(note)
            item.ihook.pytest_runtest_protocol(item=item, nextitem=None)
        sys.settrace(None)
        signal.setitimer(signal.ITIMER_PROF, 0.0)
        inside = f"{PROGRAM}{os.sep}"
        places = {
            f"{code.co_filename[len(inside) :]}:{code.co_qualname}"
            for code in codes
            if code.co_filename.startswith(inside)
        }
        return {
            "seconds": time.process_time() - begun, "places": sorted(places), "passed": not self.failed,
        }  # fmt: skip


def _compile() -> None:
    """Have the plant compiled before any test is timed: that half minute would count as the test's own."""
    import halfglass
    from halfglass.plant.compile import is_prepared

    if not is_prepared("march_day"):
        halfglass.run(halfglass.load(ROOT / "scenarios" / "01-quiet-lake-day.toml"))


def items_of(tests: list[Any]) -> Iterator[str]:
    """The names of collected tests."""
    return (test.nodeid for test in tests)


def _without_locals(place: str) -> str:
    """A function nested in another counts as part of it by its own name too."""
    return place.replace(".<locals>", "").removesuffix(".<lambda>")


def _users(fault: Any) -> set[str]:
    """Functions that use what an assignment outside all functions binds, or what hangs on it."""
    import swap

    names = [name for _, bound in swap.depending(fault.tree, fault.names, fault.line) for name in bound]
    found = set()
    for path in PROGRAM.rglob("*.py"):
        for code in swap.codes_in(compile(path.read_text(), str(path), "exec", dont_inherit=True)):
            if set(names) & {*code.co_names}:
                found.add(f"{path.relative_to(PROGRAM)}:{_without_locals(code.co_qualname)}")
    return found


def table(rows: list[dict[str, Any]]) -> str:
    """What came of each module, and of the whole."""
    lines = [f"{'module':18}{'drawn':>8}{'noticed':>9}{'equivalent':>12}{'survived':>10}{'share':>8}"]
    for name in [*dict.fromkeys(row["module"] for row in rows), "all"]:
        counts = Counter(row["result"] for row in rows if name in ("all", row["module"]))
        true = counts["noticed"] + counts["survived"]
        share = f"{100.0 * counts['noticed'] / true:.0f} %" if true else "-"
        lines.append(
            f"{name:18}{counts.total():8}{counts['noticed']:9}{counts['equivalent']:12}"
            f"{counts['survived']:10}{share:>8}"
        )
    return "\n".join(lines)


def main() -> int:
    """Draw, try, tell."""
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    asked.add_argument("--package", choices=sorted(MODULES), default="plant")
    asked.add_argument("--module", help="one module of the package only")
    asked.add_argument("--sample", type=int, default=100, help="how many faults, about")
    asked.add_argument("--seed", type=int, default=0)
    asked.add_argument("--out", type=Path, help="write every fault and what came of it to this file (JSON)")
    asked.add_argument("--again", type=Path, help="what survived in such a file, and nothing else")
    options = asked.parse_args()
    os.environ["HALFGLASS_PLAIN"] = "1" if options.package == "plant" else ""
    sys.path[:0] = [str(HERE), str(ROOT / "sim")]
    os.chdir(ROOT)
    import pytest

    if options.again:
        faults = survivors(options.package, options.again)
    else:
        faults = drawn(options.package, options.module, options.sample, options.seed)
    plugin = Faults(options.package, faults, options.out)
    tests = [test for test in TESTS[options.package] if (ROOT / test).exists()]
    ended = pytest.main(
        ["-q", "-p", "no:cacheprovider", "-p", "no:xdist", "--disable-warnings", *tests,
         *(f"--ignore={path}" for path in LEFT_OUT)],
        plugins=[plugin],
    )  # fmt: skip
    if ended not in (pytest.ExitCode.OK, pytest.ExitCode.NO_TESTS_COLLECTED):
        return int(ended)
    print(table(plugin.rows))
    return 0


if __name__ == "__main__":
    sys.exit(main())
