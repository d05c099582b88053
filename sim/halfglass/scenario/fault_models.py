"""Faults: how each is written, what is said of it, and what it does to the plant while it lasts.

To add a fault, add its table here. What a fault does beside moving settings of the plant (to people, route,
instruments) is a row of `MORE` in `day/faults.py`.
"""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from functools import reduce
from operator import or_
from typing import TYPE_CHECKING, Annotated, ClassVar, Literal

from pydantic import Field, model_validator

from halfglass.scenario.fields import (
    Duration,
    Fraction,
    GaugePressure,
    Hold,
    Mass,
    Name,
    PressureDifference,
    Stream,
    Table,
    VolumeFlow,
    Wind,
    complaint,
    quantity,
)
from halfglass.scenario.key_facts import choice_of

Heel = Annotated[float, quantity("angle", lowest="-60 deg", highest="60 deg", example="10 deg")]
WhichValve = Literal["first", "second"]
WATER_DENSITY = 999.0


class FaultAt(Table):
    """When a fault begins: at a clock time, at a place, or when a reading first falls below a value."""

    clock: datetime.time | None = Field(default=None, description="a time of day")
    day: Annotated[int, Field(ge=1, le=7)] = Field(
        default=1, description="which day of the outing the clock time is on"
    )
    leaving: Name | None = Field(default=None, description="when the boat leaves this place")
    arriving: Name | None = Field(default=None, description="when the boat reaches this place")
    plus: Duration = Field(default=0.0, description="this much after leaving or arriving")
    pressure_below: GaugePressure | None = Field(
        default=None, description="when boiler pressure, once up, falls below this"
    )
    glass_below: Fraction | None = Field(default=None, description="when the glass falls below this")

    @model_validator(mode="after")
    def _one_moment(self) -> FaultAt:
        names = ("clock", "leaving", "arriving", "pressure_below", "glass_below")
        given = [name for name in names if getattr(self, name) is not None]
        if len(given) > 1:
            raise complaint("a fault begins at one moment only; keep one of these", given[1], given[0])
        if not given:
            raise complaint(
                "this says no moment; give one of 'clock', 'leaving', 'arriving', 'pressure_below', "
                "'glass_below'"
            )
        if "plus" in self.model_fields_set and given[0] not in ("leaving", "arriving"):
            raise complaint("'plus' goes with 'leaving' or 'arriving' only", "plus", given[0])
        if "day" in self.model_fields_set and given[0] != "clock":
            raise complaint("'day' goes with 'clock' only", "day", given[0])
        return self


class FaultTable(Table):
    """What faults have in common."""

    subject: ClassVar[str]
    """What it is about, in the log."""
    sentence: ClassVar[str]
    """How it is told when it begins."""
    mended: ClassVar[Mapping[str, float]] = {}
    """Settings of the plant once it is put right."""
    by_hand: ClassVar[bool] = True
    """Whether it can be begun by hand; those of the route and the people have no place there."""
    usual: ClassVar[Mapping[str, str]] = {}
    """How much goes wrong by hand where that must be told or is too slow to teach: a choice for teaching."""
    if TYPE_CHECKING:
        kind: str

    name: Name | None = Field(default=None, description="what a plan may call this fault by, to drop it")
    at: FaultAt = Field(description="when it begins")

    def settings(self) -> dict[str, float]:
        """Settings of the plant (`plant.parameters.Settings`, SI) while it lasts."""
        return {}


class Repairable(FaultTable):
    """A fault that may be put right on the way."""

    repaired_after: Hold | None = Field(
        default=None, description="put right after this long; left out: never"
    )


class EnginePumpStops(Repairable):
    """The engine pump turns but delivers nothing."""

    subject = "feed"
    sentence = "The engine-driven pump stops delivering."
    mended = {"engine_pump_health": 1.0}
    kind: Literal["engine pump stops delivering"] = Field(description="what goes wrong")

    def settings(self) -> dict[str, float]:
        return {"engine_pump_health": 0.0}


class EnginePumpPackingGoing(Repairable):
    """The packing of the engine pump goes: it delivers less and less."""

    subject = "feed"
    sentence = "The engine-driven pump's packing is going."
    mended = {"engine_pump_wear_rate": -1.0 / 60.0}
    usual = {"gone_after": "20 min"}
    kind: Literal["engine pump packing going"] = Field(description="what goes wrong")
    gone_after: Hold = Field(default=2 * 3600.0, description="time until it delivers nothing")

    def settings(self) -> dict[str, float]:
        return {"engine_pump_wear_rate": 1.0 / self.gone_after}


class CheckValveLeaks(Repairable):
    """Boiler water blows back through the feed check valve, whether or not a pump works."""

    subject = "feed"
    sentence = "The feed check valve leaks back."
    mended = {"check_valve_leak_area": 0.0}
    kind: Literal["check valve leaks"] = Field(description="what goes wrong")
    area: Annotated[float, quantity("area", above=0.0, highest="100 mm2", example="1 mm2")] = Field(
        default=1e-6, description="of the leak"
    )

    def settings(self) -> dict[str, float]:
        return {"check_valve_leak_area": self.area}


class InjectorWillNotStart(Repairable):
    """The injector blows steam and does not pick up."""

    subject = "feed"
    sentence = "The injector will not pick up."
    kind: Literal["injector will not start"] = Field(description="what goes wrong")

    def settings(self) -> dict[str, float]:
        return {"injector": 0.0}


class HandPumpWorn(Repairable):
    """The hand pump slips."""

    subject = "feed"
    sentence = "The hand pump's leathers are worn."
    mended = {"hand_pump_health": 1.0}
    kind: Literal["hand pump leathers worn"] = Field(description="what goes wrong")
    share_lost: Fraction = Field(default=0.5, description="share of its delivery lost")

    def settings(self) -> dict[str, float]:
        return {"hand_pump_health": 1.0 - self.share_lost}


class SafetyValveWeeps(Repairable):
    """The first safety valve no longer shuts tight."""

    subject = "pressure"
    sentence = "The first safety valve weeps."
    mended = {"safety_valve_weep_fraction": 0.0}
    kind: Literal["safety valve weeps"] = Field(description="what goes wrong")
    share: Fraction = Field(default=0.02, description="of its full flow that it always passes")

    def settings(self) -> dict[str, float]:
        return {"safety_valve_weep_fraction": self.share}


FREE = {"first_safety_valve_stuck": 0.0, "second_safety_valve_stuck": 0.0}


class SafetyValveSticksShut(Repairable):
    """A safety valve does not lift."""

    subject = "pressure"
    sentence = "A safety valve is stuck shut."
    mended = FREE
    kind: Literal["safety valve sticks shut"] = Field(description="what goes wrong")
    valve: WhichValve = Field(default="first", description="which of two")

    def settings(self) -> dict[str, float]:
        return {f"{self.valve}_safety_valve_stuck": -1.0}


class SafetyValveSticksOpen(Repairable):
    """A safety valve does not shut."""

    subject = "pressure"
    sentence = "A safety valve is stuck open."
    mended = FREE
    kind: Literal["safety valve sticks open"] = Field(description="what goes wrong")
    valve: WhichValve = Field(default="first", description="which of two")

    def settings(self) -> dict[str, float]:
        return {f"{self.valve}_safety_valve_stuck": 1.0}


class WetFuel(Repairable):
    """What is fired from now on is wet."""

    subject = "fire"
    sentence = "What is fired from now on is wet."
    kind: Literal["wet fuel"] = Field(description="what goes wrong")
    moisture: Annotated[float, quantity("fraction", lowest="0 %", highest="60 %")] = Field(
        default=0.4, description="water in the fuel, as share of its mass"
    )


class ClinkeredGrate(Repairable):
    """Clinker shuts part of the grate."""

    subject = "fire"
    sentence = "Clinker shuts part of the grate."
    mended = {"clinker_fraction": 0.0}
    kind: Literal["clinkered grate"] = Field(description="what goes wrong")
    share: Annotated[float, quantity("fraction", lowest="0 %", highest="95 %")] = Field(
        default=0.4, description="share of the grate shut"
    )

    def settings(self) -> dict[str, float]:
        return {"clinker_fraction": self.share}


class BurnerGoesOut(Repairable):
    """The burner goes out; the crew relight it once they see it, unless it needs putting right first."""

    subject = "fire"
    sentence = "The burner goes out."
    kind: Literal["burner goes out"] = Field(description="what goes wrong")


class CondenserFouls(Repairable):
    """The keel condenser takes less heat."""

    subject = "hotwell"
    sentence = "The keel condenser is fouled."
    mended = {"condenser_health": 1.0}
    kind: Literal["condenser fouls"] = Field(description="what goes wrong")
    share_lost: Fraction = Field(default=0.5, description="share of its duty lost")

    def settings(self) -> dict[str, float]:
        return {"condenser_health": 1.0 - self.share_lost}


class CondenserLeaks(Repairable):
    """Condensate is lost overboard before it reaches the hot well."""

    subject = "hotwell"
    sentence = "Condensate is lost on its way to the hot well."
    mended = {"condensate_leak_fraction": 0.0}
    kind: Literal["condenser leaks"] = Field(description="what goes wrong")
    share_lost: Fraction = Field(default=0.5, description="share of the condensate lost")

    def settings(self) -> dict[str, float]:
        return {"condensate_leak_fraction": self.share_lost}


class HotwellWaterLost(Repairable):
    """The hot well leaks."""

    subject = "hotwell"
    sentence = "The hot well leaks."
    mended = {"hotwell_leak_rate": 0.0}
    usual = {"rate": "1 L/min"}
    kind: Literal["hot well water lost"] = Field(description="what goes wrong")
    rate: VolumeFlow = Field(description="water lost")

    def settings(self) -> dict[str, float]:
        return {"hotwell_leak_rate": self.rate * WATER_DENSITY}


class HotwellOverheated(Repairable):
    """A drain left open blows live steam into the hot well."""

    subject = "hotwell"
    sentence = "A drain blows live steam into the hot well."
    mended = {"hotwell_steam_area": 0.0}
    kind: Literal["hot well overheated"] = Field(description="what goes wrong")
    area: Annotated[float, quantity("area", above=0.0, highest="20 mm2", example="3 mm2")] = Field(
        default=3e-6, description="of the drain"
    )

    def settings(self) -> dict[str, float]:
        return {"hotwell_steam_area": self.area}


class GlassCockShut(Repairable):
    """A cock of the gauge glass is shut: the glass lies."""

    subject = "water"
    sentence = "A cock of the gauge glass is shut."
    kind: Literal["glass cock shut"] = Field(description="what goes wrong")
    cock: Literal["top", "bottom"] = Field(
        default="bottom",
        description="bottom: the glass stays where it is; top: it fills as the steam in it condenses",
    )


class GaugeReadsWrong(Repairable):
    """The pressure gauge is out."""

    subject = "pressure"
    sentence = "The pressure gauge reads wrong."
    usual = {"by": "15 psi"}
    kind: Literal["gauge reads wrong"] = Field(description="what goes wrong")
    by: PressureDifference = Field(description="too high, or minus for too low")


class OilyFeed(FaultTable):
    """Oil gets into the boiler with the feed, and it foams."""

    subject = "water"
    sentence = "Oil gets into the boiler with the feed."
    usual = {"oil": "20 g"}
    kind: Literal["oily feed"] = Field(description="what goes wrong")
    oil: Mass = Field(description="that gets into the boiler")


class Heels(Repairable):
    """The boat lies over, as when everybody sits to one side."""

    subject = "water"
    sentence = "The boat lies over."
    usual = {"to": "8 deg"}
    kind: Literal["boat heels"] = Field(description="what goes wrong")
    to: Heel = Field(description="angle of heel, to starboard; minus to port")

    def settings(self) -> dict[str, float]:
        return {"heel": self.to}


class StreamTurns(Repairable):
    """The stream turns foul, or fair."""

    subject = "route"
    sentence = "The stream turns."
    usual = {"by": "-0.5 m/s"}
    kind: Literal["stream turns"] = Field(description="what goes wrong")
    by: Stream = Field(description="added to the stream along the course: minus is foul")


class WindGetsUp(Repairable):
    """The wind gets up."""

    subject = "route"
    sentence = "The wind gets up."
    usual = {"by": "6 m/s"}
    kind: Literal["wind gets up"] = Field(description="what goes wrong")
    by: Wind = Field(description="added to the headwind")


class LockDelayed(FaultTable):
    """The next lock is busy or broken."""

    subject = "route"
    sentence = "There is a long wait at the next lock."
    by_hand = False
    kind: Literal["long wait at the lock"] = Field(description="what goes wrong")
    wait: Hold = Field(description="added to the wait at the next lock")


class CrewAshore(Repairable):
    """One of the crew is ashore, or otherwise no help."""

    subject = "crew"
    sentence = "One of the crew is no help from now on."
    by_hand = False
    kind: Literal["one of the crew ashore"] = Field(description="what goes wrong")


FAULTS: dict[str, type[FaultTable]] = {
    choice_of(table): table
    for table in list(globals().values())
    if isinstance(table, type) and issubclass(table, FaultTable) and "kind" in table.model_fields
}
"""Every fault above by its kind, in the order they stand."""

if TYPE_CHECKING:
    FaultEntry = FaultTable
else:
    FaultEntry = Annotated[reduce(or_, FAULTS.values()), Field(discriminator="kind")]
"""Any fault, as a scenario lists them."""
