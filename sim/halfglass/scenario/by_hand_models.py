"""Working the plant by hand, as it is written: what is moved, done, broken and mended, and after how long."""

from __future__ import annotations

import datetime
from typing import Annotated, Any, Literal, get_args

from pydantic import Field, TypeAdapter, model_validator

from halfglass.scenario.fault_models import FaultEntry
from halfglass.scenario.fields import (
    Duration,
    Fraction,
    SignedFraction,
    StrokeRate,
    Table,
    complaint,
    quantity,
)

SolidFuelName = Literal["air-dry wood", "charcoal", "anthracite", "steam coal"]
Valve = Literal["open", "shut"]
Charge = Annotated[float, quantity("mass", above=0.0, highest="20 kg", example="1 kg")]
Doing = Literal[
    "bar over",
    "bale into the hot well",
    "change the cloth",
    "clean the grate",
    "draw the fire",
    "fill the lubricator",
    "pump up the tank",
    "try the glass",
]
"""What a hand does once and is done with."""
WrongByHand = Literal[
    "engine pump stops delivering",
    "engine pump packing going",
    "check valve leaks",
    "injector will not start",
    "hand pump leathers worn",
    "safety valve weeps",
    "safety valve sticks shut",
    "safety valve sticks open",
    "wet fuel",
    "clinkered grate",
    "burner goes out",
    "condenser fouls",
    "condenser leaks",
    "hot well water lost",
    "hot well overheated",
    "glass cock shut",
    "gauge reads wrong",
    "oily feed",
    "boat heels",
    "stream turns",
    "wind gets up",
]
"""Faults of the plant, the boat and the water; those of the route and the people have no place here."""
USUAL: dict[str, dict[str, str]] = {
    "engine pump packing going": {"gone_after": "20 min"},
    "hot well water lost": {"rate": "1 L/min"},
    "gauge reads wrong": {"by": "15 psi"},
    "oily feed": {"oil": "20 g"},
    "boat heels": {"to": "8 deg"},
    "stream turns": {"by": "-0.5 m/s"},
    "wind gets up": {"by": "6 m/s"},
}
"""How much goes wrong where a fault must be told that, or is too slow to teach by (a choice for teaching)."""
FOR_GOOD = ("oily feed",)
"""What cannot be put right on the way."""


class Move(Table):
    """What is done at one moment of working by hand; each control stays where it is put."""

    after: Duration = Field(
        description="this much after the step began, to the next half second; what has the same time is "
        "done in the order written"
    )
    throttle: Fraction | None = Field(default=None, description="throttle")
    reversing_gear: SignedFraction | None = Field(
        default=None, description="100 % full ahead, 0 % mid gear, -100 % full astern"
    )
    cylinder_drains: Valve | None = Field(default=None, description="drain cocks of the cylinders")
    whistle: Valve | None = Field(default=None, description="whistle")
    lines: Literal["made fast", "let go"] | None = Field(
        default=None, description="mooring lines; they can be made fast once the boat has all but stopped"
    )
    damper: Fraction | None = Field(default=None, description="damper")
    fire_door: Fraction | None = Field(default=None, description="fire door")
    blower: Fraction | None = Field(default=None, description="blower")
    burner_rate: Fraction | None = Field(default=None, description="burner, of its full rate")
    spirit_cup: Literal["alight", "out"] | None = Field(
        default=None, description="spirit flame that warms the burner's vaporiser"
    )
    bypass: Fraction | None = Field(
        default=None, description="bypass of the engine pump: 100 % sends all its water back to the hot well"
    )
    feed_check: Valve | None = Field(
        default=None, description="stop valve of the feed: shut, no pump and no injector feeds the boiler"
    )
    hand_pump_on_hot_well: StrokeRate | None = Field(
        default=None, description="strokes at the hand pump, drawing from the hot well"
    )
    hand_pump_on_lake: StrokeRate | None = Field(
        default=None, description="strokes at the hand pump, drawing from the lake"
    )
    injector_water: Valve | None = Field(default=None, description="water valve of the injector")
    injector_steam: Valve | None = Field(
        default=None, description="steam valve of the injector: it starts if the water is on, or blows steam"
    )
    blow_down: Valve | None = Field(default=None, description="blow-down cock")
    condensate_drain: Fraction | None = Field(default=None, description="condensate drain valve")
    charge: Charge | None = Field(default=None, description="fuel thrown on the fire, from the bunker")
    fuel: SolidFuelName | None = Field(
        default=None, description="what the charge is of; left out: what is burnt on the day"
    )
    do: Doing | None = Field(default=None, description="what is done once and is done with")
    goes_wrong: WrongByHand | None = Field(default=None, description="a fault that begins, as large as usual")
    put_right: WrongByHand | None = Field(default=None, description="a fault that ends")

    @model_validator(mode="after")
    def _does_something(self) -> Move:
        if self.fuel is not None and self.charge is None:
            raise complaint("'fuel' goes with 'charge' only", "fuel")
        if self.put_right in FOR_GOOD:
            raise complaint("this cannot be put right under way", "put_right")
        if not self.model_fields_set - {"after"}:
            raise complaint("this moves nothing; give a control and where it is put")
        return self


CONTROLS = tuple(
    name
    for name in Move.model_fields
    if name not in ("after", "charge", "fuel", "do", "goes_wrong", "put_right")
)
"""Keys of a move that put a control somewhere."""

_FAULTS: TypeAdapter[Any] = TypeAdapter(FaultEntry)


def usual_fault(kind: str) -> Any:
    """A fault of that kind as large as usual; when it begins is for whoever asked."""
    at = {"clock": datetime.time(0, 0)}
    return _FAULTS.validate_python({"kind": kind, "at": at, **USUAL.get(kind, {})})


def wrong_by_hand() -> tuple[str, ...]:
    """The kinds of fault that can be begun by hand."""
    return get_args(WrongByHand)
