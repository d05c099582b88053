"""Spoilt scenario text: small and large changes to a file, drawn from a seeded source of chance.

Each mutation takes the source of chance and a text and gives bytes. `spoil` strings some of them together and
says whether what comes out must be refused, because a key stands in it that no table knows.
"""

from __future__ import annotations

import random
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from types import UnionType
from typing import Annotated, Any, Union, get_args, get_origin

from halfglass.scenario.day_models import Scenario
from halfglass.scenario.fields import Table
from halfglass.scenario.toml_text import LARGEST_FILE
from halfglass.vocabulary.unit_table import KINDS

Chance = random.Random
Mutation = Callable[[Chance, str], str | bytes]

NUMBER = re.compile(r"(?<![\w.])\d+(?:\.\d+)?")
PLAIN_NUMBER = re.compile(r'(?<= = ")\d+(?:\.\d+)?(?= [^"\d]+")|(?<= = )\d+\.\d+(?=\n)')
QUANTITY = re.compile(r'"(-?[\d./ ]+) ([^"\n\d]+)"')
KEY = re.compile(r"(?:(?<=\n)|(?<=\{ )|(?<=, )|(?<=\[))[a-z_][a-z_.]*(?= = |\]\n|\]\]\n)")
VALUE = re.compile(r"(?<= = )[^\n]+")
HEADING = re.compile(r"(?<=\n)\[+[a-z_.]+\]+(?=\n)")
LITERALS = (
    "0", "-1", "7", "1.5", "-0.0", "1e400", "nan", "-inf", "true", "false", '""', '"x"', "'y'", "[]",
    "[[]]", "[1, 2]", '["a", 1]', "{}", "{ a = 1 }", "{ kind = 2 }", "[{}]", "08:15:00", "24:00:00",
    "2001-02-30", "2001-06-30", "2001-06-30T08:15:00Z", "0x1F", "9" * 30, "9" * 5000, "1_000",
    '"""\n\n"""', "-", "", "None", "null", '"\\u0000"', '"\\n"', '"a\\nb"', '"' + "long " * 500 + '"',
    "[" * 40 + "]" * 40, "{ a = " * 30,
)  # fmt: skip
QUANTITIES = (
    "1/0 L", "1e99 L", "½ L", "-0 L", "٣ L", "1,5 kg", "1.500,0 kg", "nan s", "inf m", "1 h 90 min",
    "1 min 2 h", "8:15", "1 psi 2", "--1 m", "1 m m", "1e-15 s", "1e15 s", "1e15 km", "1e-15 km", "0 s",
    "100 %", "1 1/2", "2/1", "1e15 kg", "1e-15 kg", "1e9 kn", "0.001 s", "1e15 °C", "-300 °C", "1\u00a0L",
    "l", "25L", "1 Ｌ", "1 L\u200b",
)  # fmt: skip
LOOKALIKES = {
    "a": "а",
    "e": "е",
    "o": "о",
    "p": "р",
    "c": "с",
    "i": "і",
    "0": "О",
    "1": "l",
    '"': "“",
    "-": "–",
}


def keys_of(annotation: Any) -> Iterator[str]:
    """Every key that stands anywhere in the tables a type is made of."""
    if isinstance(annotation, type) and issubclass(annotation, Table):
        for name, info in annotation.model_fields.items():
            yield info.alias or name
            yield from keys_of(info.annotation)
    elif get_origin(annotation) in (Union, UnionType, Annotated, tuple):
        for part in get_args(annotation):
            yield from keys_of(part)


KNOWN_KEYS = frozenset(keys_of(Scenario))


def replaced(chance: Chance, text: str, pattern: re.Pattern[str], new: Callable[[str], str]) -> str:
    """The text with one match of the pattern, drawn, put otherwise."""
    found = list(pattern.finditer(text))
    if not found:
        return text
    match = chance.choice(found)
    return text[: match.start()] + new(match.group()) + text[match.end() :]


def on_lines(change: Callable[[Chance, list[str]], None]) -> Mutation:
    """A mutation of the list of lines."""

    def mutation(chance: Chance, text: str) -> str:
        lines = text.split("\n")
        change(chance, lines)
        return "\n".join(lines)

    mutation.__name__ = change.__name__
    return mutation


def any_place(chance: Chance, lines: list[str]) -> int:
    return chance.randrange(len(lines))


def delete_line(chance: Chance, lines: list[str]) -> None:
    del lines[any_place(chance, lines)]


def delete_block(chance: Chance, lines: list[str]) -> None:
    start = any_place(chance, lines)
    del lines[start : start + chance.randint(2, 12)]


def duplicate_line(chance: Chance, lines: list[str]) -> None:
    lines.insert(any_place(chance, lines), chance.choice(lines))


def duplicate_block(chance: Chance, lines: list[str]) -> None:
    start = any_place(chance, lines)
    block = lines[start : start + chance.randint(2, 12)]
    place = any_place(chance, lines)
    lines[place:place] = block


def swap_lines(chance: Chance, lines: list[str]) -> None:
    one, other = any_place(chance, lines), any_place(chance, lines)
    lines[one], lines[other] = lines[other], lines[one]


def many_entries(chance: Chance, lines: list[str]) -> None:
    """A hundred of one block: plans, steps, faults, or keys given twice."""
    starts = [n for n, line in enumerate(lines) if line.startswith("[[")] or [0]
    start = chance.choice(starts)
    end = next((n for n in range(start + 1, len(lines)) if not lines[n].strip()), len(lines))
    block = lines[start:end]
    lines += [
        line.replace('name = "', f'name = "{number} ') for number in range(100) for line in ("", *block)
    ]


def number(chance: Chance, text: str) -> str:
    """Another number: nothing, a little or a great deal more or less, or absurd."""

    def other(old: str) -> str:
        factor = chance.choice((0.0, 0.5, 0.9, 1.1, 2.0, 10.0, 0.1, 1e3, 1e-3, 1e9, -1.0))
        return chance.choice(
            (f"{float(old) * factor:g}", f"{float(old) * factor:g}", "9" * 25, "007", "1e12")
        )

    return replaced(chance, text, NUMBER, other)


def near_number(chance: Chance, text: str) -> str:
    """A number somewhat more or less: this mostly loads."""
    spread = chance.choice((0.03, 0.3))
    factor = chance.uniform(1.0 - spread, 1.0 + spread)
    return replaced(chance, text, PLAIN_NUMBER, lambda old: f"{float(old) * factor:.4g}")


def far_number(chance: Chance, text: str) -> str:
    """A number a great deal more or less, which only some checks can refuse."""
    factor = chance.choice((0.0, 0.001, 0.01, 0.1, 10.0, 100.0, 1e4, 1e9, -1.0))
    return replaced(
        chance, text, PLAIN_NUMBER, lambda old: f"{float(old) * factor:.12f}".rstrip("0").rstrip(".")
    )


def unit(chance: Chance, text: str) -> str:
    """Another unit: of the same kind or not."""
    symbol = chance.choice([u.symbol for kind in KINDS.values() for u in kind.units])
    return replaced(chance, text, QUANTITY, lambda old: f'{old.partition(" ")[0]} {symbol}"')


def same_unit(chance: Chance, text: str) -> str:
    """Another unit of the same kind, the number left as it is."""

    def other(old: str) -> str:
        amount, _, symbol = old.partition(" ")
        kinds = [kind for kind in KINDS.values() if any(u.symbol == symbol[:-1] for u in kind.units)]
        return (
            f'{amount} {chance.choice([u.symbol for kind in kinds for u in kind.units])}"' if kinds else old
        )

    return replaced(chance, text, QUANTITY, other)


def quantity(chance: Chance, text: str) -> str:
    return replaced(chance, text, QUANTITY, lambda _: f'"{chance.choice(QUANTITIES)}"')


def misspelt(chance: Chance, key: str) -> str:
    """A name like the key that no table knows."""
    while True:
        at = chance.randrange(len(key))
        letter = chance.choice("abcdefghijklmnopqrstuvwxyz_")
        ways = (
            key[:at] + letter + key[at:], key[:at] + key[at + 1 :], key[:at] + letter + key[at + 1 :],
            key + "s", key.upper(), key + "_", key.replace("_", "-"), key.replace("_", ""),
        )  # fmt: skip
        other = chance.choice(ways)
        if other and other not in KNOWN_KEYS:
            return other


def misspell(chance: Chance, text: str) -> str:
    """One part of one key, or of a heading, spelt as no table knows it."""

    def other(old: str) -> str:
        parts = old.split(".")
        at = chance.randrange(len(parts))
        parts[at] = misspelt(chance, parts[at])
        return ".".join(parts)

    return replaced(chance, text, KEY, other)


def strange_key(chance: Chance, text: str) -> str:
    """One more key that no table knows: on a line of its own, or in an inline table."""
    strange = misspelt(chance, chance.choice(sorted(KNOWN_KEYS)))
    value = chance.choice(("1", "true", "[]", "{}", '"1 kg"', "08:00:00"))
    entry = f"{strange} = {value}"
    if "{ " in text and chance.random() < 0.3:
        return replaced(chance, text, re.compile(r"\{ "), lambda old: f"{old}{entry}, ")
    entry = chance.choice((entry, f"[{strange}]", f"[[{strange}]]", f"[weather.{strange}]", f"crew.{entry}"))
    return replaced(chance, text, re.compile(r"(?<=\n)(?=[a-z\[])|$"), lambda _: f"{entry}\n")


def known_key(chance: Chance, text: str) -> str:
    """One more key that some table knows, mostly in the wrong place."""
    key = chance.choice(sorted(KNOWN_KEYS))
    value = chance.choice([*LITERALS, *VALUE.findall(text)[:40]])
    return replaced(chance, text, re.compile(r"(?<=\n)"), lambda _: f"{key} = {value}\n")


def value_type(chance: Chance, text: str) -> str:
    return replaced(chance, text, VALUE, lambda _: chance.choice(LITERALS))


def other_value(chance: Chance, text: str) -> str:
    """A value that stands elsewhere in the file."""
    values = VALUE.findall(text) or ["1"]
    return replaced(chance, text, VALUE, lambda _: chance.choice(values))


def nest(chance: Chance, text: str) -> str:
    wraps = ("[{}]", "{{ a = {} }}", "[[{}]]", "{{ {} }}", "{} ]", "[{}", "{{ a = {}")
    return replaced(chance, text, VALUE, lambda old: chance.choice(wraps).format(old))


def heading(chance: Chance, text: str) -> str:
    def other(old: str) -> str:
        name = old.strip("[]")
        return chance.choice(
            (
                f"[{name}]", f"[[{name}]]", f"[{name}.{name}]", f"[{name}", f"[[{name}]",
                f"[{name}.a.b.c]", f"{name} = 1", f"[ '{name}' ]", f"[{'a.' * 60}{name}]",
                f"[{name}]\n[{name}]", f"[{name.partition('.')[0]}]",
            )  # fmt: skip
        )  # fmt: skip

    return replaced(chance, text, HEADING, other)


def quotes(chance: Chance, text: str) -> str:
    mark = chance.choice(("", "'", '"""', "“", "\\", '""', '" "', '\\"'))
    return replaced(chance, text, re.compile('"'), lambda _: mark)


def character(chance: Chance, text: str) -> str:
    strange = chance.choice("\t\r\x0b\x7f\u0085\u2028\u200b\u202e\ufeff\U0001f682é#=,.[]{}'\"\\\n-")
    return replaced(
        chance, text, re.compile(r".", re.DOTALL), lambda old: chance.choice((strange, strange + old))
    )


def lookalike(chance: Chance, text: str) -> str:
    letters = re.compile("[" + "".join(LOOKALIKES) + "]")
    return replaced(chance, text, letters, LOOKALIKES.__getitem__)


def encoding(chance: Chance, text: str) -> bytes:
    data = text.encode()
    at = chance.randrange(len(data) + 1)
    ways: list[Callable[[], bytes]] = [
        lambda: b"\xef\xbb\xbf" + data,
        lambda: b"\xef\xbb\xbf" * 2 + data,
        lambda: data.replace(b"\n", b"\r\n"),
        lambda: data.replace(b"\n", b"\r"),
        lambda: data[:at] + b"\x00" + data[at:],
        lambda: data[:at] + bytes([chance.randrange(256)]) + data[at:],
        lambda: text.encode("latin-1", "replace").replace(b"a", b"\xe4"),
        lambda: text.encode("utf-16"),
        lambda: text.encode("utf-32-le"),
        lambda: data[:at] + "\ud800".encode("utf-8", "surrogatepass") + data[at:],
        lambda: chance.randbytes(200),
    ]
    return chance.choice(ways)()


def cut_short(chance: Chance, text: str) -> str:
    return text[: chance.randrange(len(text) + 1)]


def size(chance: Chance, text: str) -> str:
    """Empty, very long, or just at the limit."""
    ways: list[Callable[[], str]] = [
        lambda: "",
        lambda: "\n" * 10_000 + text,
        lambda: text + "# a long comment\n" * (LARGEST_FILE // 17 - len(text) // 17 - 10),
        lambda: text + "#" * LARGEST_FILE,
        lambda: text + "\n[[fault]]\n" * 10_000,
        lambda: text + "\n".join(f"[x{n}]" for n in range(10_000)),
        lambda: f"{text}\nlist = [{'0,' * 900}\n{'0,' * 900}]",
        lambda: "a." * 900 + "a = 1\n" + text,
    ]
    return chance.choice(ways)()


def plan(chance: Chance, text: str) -> str:
    """One more plan, whose changes reach inside, or that adds or drops."""
    names = re.findall(r'name = ("[^"\n]*")', text) or ['"nobody"']
    deep = ".".join(chance.choice(sorted(KNOWN_KEYS)) for _ in range(chance.choice((1, 2, 3, 4, 30))))
    does = '{ step = "whistle" }'
    entries = (
        f"change = {{ {deep} = {chance.choice(LITERALS)} }}",
        f"change = {{ crew.hands = {chance.choice(('1', '2', '3'))}, crew.hands.hands = 1 }}",
        'change = { boat = "boats/dabchick.toml" }',
        f'change = {{ boat = "{chance.choice(BOAT_NAMES)}" }}', "change = { boat = { name = \"other\" } }",
        "change = { plan = [] }", "change = { route = [] }",
        'change = { route = [{ step = "shut down" }] }', "change = { fault = [] }",
        'change.weather.headwind = "4 m/s"', "change = 1", "change = [{}]",
        f"drop = [{chance.choice(names)}]", 'drop = "x"', "drop = [1]", "drop = []",
        f"step = [{{ before = {chance.choice(names)}, does = {does} }}]", f"step = [{{ does = {does} }}]",
        'order = [{ name = "o", when = { glass_below = "1/4" }, do = "blow down" }]',
        'fault = [{ kind = "gauge reads wrong", by = "1e9 psi", at = { clock = 08:30:00 } }]',
    )  # fmt: skip
    return f'{text}\n[[plan]]\nname = "plan {chance.randrange(10**6)}"\n{chance.choice(entries)}\n'


BOAT_NAMES = (
    "boats/sedge.toml", "01-quiet-lake-day.toml", "02-engine-pump-stops.toml", "boats", "", ".", "..",
    "boats/none.toml", "/", "/dev/null", "\\u0000", "x" * 300, "boats/sedge.toml/x", "~",
    "boats//dabchick.toml", "../scenarios/boats/sedge.toml",
)  # fmt: skip


def boat_name(chance: Chance, text: str) -> str:
    return re.sub(r"(?<=\n)boat = [^\n]*", lambda _: f'boat = "{chance.choice(BOAT_NAMES)}"', "\n" + text)[1:]


GENTLE: tuple[Mutation, ...] = (near_number, near_number, far_number, far_number, same_unit, other_value)
"""What may well load."""
ROUGH: tuple[Mutation, ...] = (
    *map(on_lines, (delete_line, delete_block, duplicate_line, duplicate_block, swap_lines, many_entries)),
    number, unit, quantity, quantity, misspell, strange_key, known_key, value_type, value_type, nest,
    heading, quotes, character, lookalike, encoding, cut_short, size, plan, plan, plan, boat_name,
)  # fmt: skip
STRANGE: tuple[Mutation, ...] = (misspell, strange_key)
"""What puts in a key that no table knows."""


@dataclass(frozen=True)
class Spoilt:
    """A spoilt text: how, and whether it must be refused because of a key that no table knows."""

    data: bytes
    how: tuple[str, ...]
    must_refuse: bool


def spoil(chance: Chance, text: str) -> Spoilt:
    """The text changed in one to four ways; a key that no table knows comes alone or after gentle changes."""
    kind = chance.choice(("gentle", "gentle", "rough", "rough", "strange", "mixed"))
    if kind == "gentle":
        ways = [near_number] * chance.randint(0, 2) + [chance.choice(GENTLE)]
    elif kind == "strange":
        ways = [near_number] * chance.randint(0, 2) + [chance.choice(STRANGE)]
    else:
        ways = [chance.choice(ROUGH) for _ in range(1 if kind == "rough" else chance.randint(2, 4))]
    data: str | bytes = text
    for way in ways:
        before = data if isinstance(data, str) else data.decode("utf-8", "replace")
        data = way(chance, before)
    must_refuse = kind == "strange" and data != before
    as_bytes = data if isinstance(data, bytes) else data.encode("utf-8", "surrogatepass")
    return Spoilt(as_bytes, tuple(getattr(way, "__name__", "?") for way in ways), must_refuse)
