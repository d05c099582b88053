"""Standing orders as they are written: the usual ones by a few figures, and the skipper's own as data."""

from __future__ import annotations

from typing import Annotated, Literal, get_args

from pydantic import Field, model_validator

from halfglass.scenario.fields import (
    Duration,
    Fraction,
    GaugePressure,
    Name,
    Size,
    Table,
    complaint,
    quantity,
)

Opening = Annotated[float, quantity("fraction", above="0 %", highest="100 %")]
WaterTemperature = Annotated[float, quantity("temperature", lowest="0 °C", highest="100 °C")]
FeedSource = Literal["engine pump", "injector", "hand pump on hot well", "hand pump on lake"]
FEED_SOURCES: tuple[FeedSource, ...] = get_args(FeedSource)
SETTING = ("set throttle", "set damper", "set blower", "set bypass", "set burner", "set condensate drain")
"""Actions that move one control to a place, which `to` gives."""
Action = Literal[
    "set throttle",
    "set damper",
    "set blower",
    "set bypass",
    "set burner",
    "set condensate drain",
    FeedSource,
    "bale into the hot well",
    "blow down",
    "change the cloth",
    "clean the grate",
    "try the glass",
    "stop the engine",
]


class Orders(Table):
    """The usual standing orders, by their figures."""

    glass: Fraction = Field(default=0.5, description="level held with the bypass of the engine pump")
    low_glass: Annotated[tuple[FeedSource, ...], Field(max_length=20)] = Field(
        default=FEED_SOURCES,
        description="ways of feeding tried in this order when the glass is low; an empty list leaves it be",
    )
    act_below: Fraction = Field(default=0.35, description="level below which the glass is low")
    stop_above: Fraction = Field(default=0.55, description="level at which the extra feeding stops")
    clean_grate: bool = Field(
        default=True, description="whether ash and clinker are raked out once they choke the fire"
    )
    try_glass_every: Annotated[float, quantity("time", above=0.0)] = Field(
        default=3600.0,
        description="how often the cocks of the gauge glass are tried, which finds one that is shut",
    )
    condensate_drain: Opening = Field(
        default=1.0, description="how far the condensate drain valve is kept open"
    )
    blower_below: GaugePressure | None = Field(
        default=None,
        description="pressure below which the blower is opened while the fire is worked; left out: never",
    )
    throttle_when_low: Opening | None = Field(
        default=None, description="throttle eased to this while the glass is low"
    )
    ease_fire_above: GaugePressure | None = Field(
        default=None,
        description="pressure above which the damper is shut; left out: 5 psi under the first safety valve",
    )


class Seen(Table):
    """What must be seen at a look; all that is given must hold together."""

    glass_below: Fraction | None = Field(default=None, description="water in the glass below this")
    glass_above: Fraction | None = Field(default=None, description="water in the glass above this")
    pressure_below: GaugePressure | None = Field(default=None, description="gauge below this")
    pressure_above: GaugePressure | None = Field(default=None, description="gauge above this")
    bed_below: Size | None = Field(default=None, description="fire thinner than this")
    hotwell_below: Fraction | None = Field(default=None, description="hot well emptier than this")
    hotwell_above: Fraction | None = Field(default=None, description="hot well fuller than this")
    hotwell_hotter: WaterTemperature | None = Field(default=None, description="hot well hotter than this")
    engine: Literal["turning", "stopped"] | None = Field(default=None, description="whether the engine turns")

    @model_validator(mode="after")
    def _says_something(self) -> Seen:
        if not self.model_fields_set:
            raise complaint(f"this sees nothing; give one of {', '.join(repr(n) for n in Seen.model_fields)}")
        for thing in ("glass", "pressure", "hotwell"):
            low, high = getattr(self, f"{thing}_above"), getattr(self, f"{thing}_below")
            if low is not None and high is not None and low >= high:
                said = "nothing is above the one and below the other"
                raise complaint(said, f"{thing}_above", f"{thing}_below")
        return self


class Order(Table):
    """One standing order of the skipper's own: before the usual ones, and before those further down."""

    name: Name = Field(description="what it is called in the log, and by a plan that drops it")
    when: Seen = Field(description="what must be seen")
    for_: Duration = Field(
        default=0.0, alias="for", description="must have been so at every look for at least this long"
    )
    do: Action = Field(description="what is done about it")
    to: Fraction | None = Field(default=None, description="where the control is set, for the 'set' actions")
    until: Seen | None = Field(
        default=None,
        description="what must be seen before it is undone, and until when what holds nothing is done again "
        "at every look; left out: when 'when' is over by a clear division of the scale",
    )

    @model_validator(mode="after")
    def _to_goes_with_set(self) -> Order:
        if (self.do in SETTING) != (self.to is not None):
            if self.to is None:
                raise complaint(f"{self.do!r} wants 'to': where the control is set")
            raise complaint("'to' goes with the 'set' actions only", "to", "do")
        return self
