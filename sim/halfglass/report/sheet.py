"""What all pages share: templates and style sheets, cautions, a plan's badge and verdict, provenance."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined, Template
from markupsafe import Markup

from halfglass.report.pictures import Picture
from halfglass.report.scene import Plan

CAUTIONS = (
    "Model estimate for planning and teaching. Not operating instruction and not a safety device.",
    "Boilers are governed by local law and codes, the maker's instructions, the inspector's certificate "
    "and licensed or supervised practice; where they differ from this output, they win.",
    "Low water: act on the boat, never wait for a program. The model ends where the crown is bare and says "
    "nothing about what follows.",
    "Times and levels near a danger limit are estimates; their spread is shown beside them where it is "
    "known, and a real boat may differ by more.",
)


def template(name: str) -> Template:
    """The template of a page, `name.html.j2`."""
    return _environment().get_template(f"{name}.html.j2")


def style_sheet(name: str) -> str:
    """One of the style sheets, `name.css`."""
    environment = _environment()
    assert environment.loader is not None
    return environment.loader.get_source(environment, f"{name}.css")[0]


@cache
def _environment() -> Environment:
    return Environment(
        loader=PackageLoader("halfglass.report", "templates"), autoescape=True, undefined=StrictUndefined
    )


def badge(plan: Plan) -> dict[str, Any]:
    """A plan's name, and its letter on a piece of its line."""
    width = 10 + 8 * max(1, len(plan.letter))
    return {
        "letter": plan.letter,
        "name": plan.name,
        "colour": plan.stroke.colour,
        "dash": " ".join(f"{2.0 * part:g}" for part in plan.stroke.dash),
        "badge_width": width,
        "badge_x": 23 - width / 2,
    }


def verdict_of(plan: Plan) -> dict[str, str]:
    """A plan's verdict: its gravest limit, its sentence and how the day ended."""
    verdict = plan.outing.verdict
    gravest = next((item.severity for item in verdict.critical), None)
    return {
        "severity": gravest or "clear",
        "severity_text": gravest or "no limit crossed",
        "sentence": verdict.sentence,
        "outcome": verdict.outcome.sentence,
    }


def drawn(picture: Picture, several: bool) -> dict[str, Any]:
    """A picture for the page; drawn by us with every name escaped, so its SVG goes in as it is."""
    return {
        "key": picture.key,
        "title": picture.title,
        "caption": picture.caption,
        "svg": Markup(picture.svg),
        "narrow": Markup(picture.narrow),
        "rows": picture.rows,
        "letters": several,
    }


def provenance(record: Mapping[str, object]) -> list[tuple[str, str]]:
    """Nested records in one line each."""
    return [(name.replace("_", " "), _flat(value)) for name, value in record.items()]


def _flat(value: object) -> str:
    return ", ".join(f"{k} {v}" for k, v in value.items()) if isinstance(value, Mapping) else str(value)
