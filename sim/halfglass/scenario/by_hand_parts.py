"""What a boat must have for a control to be moved, a thing to be done or a fault to begin by hand."""

from __future__ import annotations

from collections.abc import Iterator

from halfglass.scenario.boat import Boat
from halfglass.scenario.by_hand_models import CONTROLS, Move

_NEEDS = {
    **dict.fromkeys(("damper", "fire_door", "blower", "charge", "clean the grate", "draw the fire",
                     "wet fuel", "clinkered grate"), "fire on a grate"),
    **dict.fromkeys(("burner_rate", "spirit_cup", "pump up the tank", "burner goes out"), "burner"),
    **dict.fromkeys(("bypass", "engine pump stops delivering", "engine pump packing going"), "engine pump"),
    **dict.fromkeys(("hand_pump_on_hot_well", "hand_pump_on_lake", "hand pump leathers worn"), "hand pump"),
    **dict.fromkeys(("injector_water", "injector_steam", "injector will not start"), "injector"),
    "condenser fouls": "keel condenser",
}  # fmt: skip


def lacking(name: str, boat: Boat) -> str | None:
    """The part a control, a doing or a fault needs and this boat has not; None if all is there."""
    has = {
        "fire on a grate": boat.fire is not None,
        "burner": boat.burner is not None,
        "engine pump": boat.feed.engine_pump is not None,
        "hand pump": boat.feed.hand_pump is not None,
        "injector": boat.feed.injector is not None,
        "keel condenser": boat.exhaust.keel > 0.0,
    }
    part = _NEEDS.get(name)
    return part if part is not None and not has[part] else None


def lacking_parts(move: Move, boat: Boat) -> Iterator[tuple[str, str]]:
    """The keys of a move that this boat has no part for, each with the part."""
    named = {key: key for key in (*CONTROLS, "charge") if getattr(move, key) is not None}
    once = {key: getattr(move, key) for key in ("do", "goes_wrong", "put_right")}
    named |= {key: said for key, said in once.items() if said is not None}
    for key, name in named.items():
        part = lacking(name, boat)
        if part is not None:
            yield key, part
