"""Faults as they are written: what goes wrong, when, and whether it is put right."""

from __future__ import annotations

import datetime
from typing import Annotated, Literal

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

Heel = Annotated[float, quantity("angle", lowest="-60 deg", highest="60 deg", example="10 deg")]


WhichValve = Literal["first", "second"]


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


class _Fault(Table):
    name: Name | None = Field(default=None, description="what a plan may call this fault by, to drop it")
    at: FaultAt = Field(description="when it begins")


class _Repairable(_Fault):
    repaired_after: Hold | None = Field(
        default=None, description="put right after this long; left out: never"
    )


class EnginePumpStops(_Repairable):
    """The engine pump turns but delivers nothing."""

    kind: Literal["engine pump stops delivering"] = Field(description="what goes wrong")


class EnginePumpPackingGoing(_Repairable):
    """The packing of the engine pump goes: it delivers less and less."""

    kind: Literal["engine pump packing going"] = Field(description="what goes wrong")
    gone_after: Hold = Field(default=2 * 3600.0, description="time until it delivers nothing")


class CheckValveLeaks(_Repairable):
    """Boiler water blows back through the feed check valve, whether or not a pump works."""

    kind: Literal["check valve leaks"] = Field(description="what goes wrong")
    area: Annotated[float, quantity("area", above=0.0, highest="100 mm2", example="1 mm2")] = Field(
        default=1e-6, description="of the leak"
    )


class InjectorWillNotStart(_Repairable):
    """The injector blows steam and does not pick up."""

    kind: Literal["injector will not start"] = Field(description="what goes wrong")


class HandPumpWorn(_Repairable):
    """The hand pump slips."""

    kind: Literal["hand pump leathers worn"] = Field(description="what goes wrong")
    share_lost: Fraction = Field(default=0.5, description="share of its delivery lost")


class SafetyValveWeeps(_Repairable):
    """The first safety valve no longer shuts tight."""

    kind: Literal["safety valve weeps"] = Field(description="what goes wrong")
    share: Fraction = Field(default=0.02, description="of its full flow that it always passes")


class SafetyValveSticksShut(_Repairable):
    """A safety valve does not lift."""

    kind: Literal["safety valve sticks shut"] = Field(description="what goes wrong")
    valve: WhichValve = Field(default="first", description="which of two")


class SafetyValveSticksOpen(_Repairable):
    """A safety valve does not shut."""

    kind: Literal["safety valve sticks open"] = Field(description="what goes wrong")
    valve: WhichValve = Field(default="first", description="which of two")


class WetFuel(_Repairable):
    """What is fired from now on is wet."""

    kind: Literal["wet fuel"] = Field(description="what goes wrong")
    moisture: Annotated[float, quantity("fraction", lowest="0 %", highest="60 %")] = Field(
        default=0.4, description="water in the fuel, as share of its mass"
    )


class ClinkeredGrate(_Repairable):
    """Clinker shuts part of the grate."""

    kind: Literal["clinkered grate"] = Field(description="what goes wrong")
    share: Annotated[float, quantity("fraction", lowest="0 %", highest="95 %")] = Field(
        default=0.4, description="share of the grate shut"
    )


class BurnerGoesOut(_Repairable):
    """The burner goes out; the crew relight it once they see it, unless it needs putting right first."""

    kind: Literal["burner goes out"] = Field(description="what goes wrong")


class CondenserFouls(_Repairable):
    """The keel condenser takes less heat."""

    kind: Literal["condenser fouls"] = Field(description="what goes wrong")
    share_lost: Fraction = Field(default=0.5, description="share of its duty lost")


class CondenserLeaks(_Repairable):
    """Condensate is lost overboard before it reaches the hot well."""

    kind: Literal["condenser leaks"] = Field(description="what goes wrong")
    share_lost: Fraction = Field(default=0.5, description="share of the condensate lost")


class HotwellWaterLost(_Repairable):
    """The hot well leaks."""

    kind: Literal["hot well water lost"] = Field(description="what goes wrong")
    rate: VolumeFlow = Field(description="water lost")


class HotwellOverheated(_Repairable):
    """A drain left open blows live steam into the hot well."""

    kind: Literal["hot well overheated"] = Field(description="what goes wrong")
    area: Annotated[float, quantity("area", above=0.0, highest="20 mm2", example="3 mm2")] = Field(
        default=3e-6, description="of the drain"
    )


class GlassCockShut(_Repairable):
    """A cock of the gauge glass is shut: the glass lies."""

    kind: Literal["glass cock shut"] = Field(description="what goes wrong")
    cock: Literal["top", "bottom"] = Field(
        default="bottom",
        description="bottom: the glass stays where it is; top: it fills as the steam in it condenses",
    )


class GaugeReadsWrong(_Repairable):
    """The pressure gauge is out."""

    kind: Literal["gauge reads wrong"] = Field(description="what goes wrong")
    by: PressureDifference = Field(description="too high, or minus for too low")


class OilyFeed(_Fault):
    """Oil gets into the boiler with the feed, and it foams."""

    kind: Literal["oily feed"] = Field(description="what goes wrong")
    oil: Mass = Field(description="that gets into the boiler")


class Heels(_Repairable):
    """The boat lies over, as when everybody sits to one side."""

    kind: Literal["boat heels"] = Field(description="what goes wrong")
    to: Heel = Field(description="angle of heel, to starboard; minus to port")


class StreamTurns(_Repairable):
    """The stream turns foul, or fair."""

    kind: Literal["stream turns"] = Field(description="what goes wrong")
    by: Stream = Field(description="added to the stream along the course: minus is foul")


class WindGetsUp(_Repairable):
    """The wind gets up."""

    kind: Literal["wind gets up"] = Field(description="what goes wrong")
    by: Wind = Field(description="added to the headwind")


class LockDelayed(_Fault):
    """The next lock is busy or broken."""

    kind: Literal["long wait at the lock"] = Field(description="what goes wrong")
    wait: Hold = Field(description="added to the wait at the next lock")


class CrewAshore(_Repairable):
    """One of the crew is ashore, or otherwise no help."""

    kind: Literal["one of the crew ashore"] = Field(description="what goes wrong")


FaultEntry = Annotated[
    EnginePumpStops
    | EnginePumpPackingGoing
    | CheckValveLeaks
    | InjectorWillNotStart
    | HandPumpWorn
    | SafetyValveWeeps
    | SafetyValveSticksShut
    | SafetyValveSticksOpen
    | WetFuel
    | ClinkeredGrate
    | BurnerGoesOut
    | CondenserFouls
    | CondenserLeaks
    | HotwellWaterLost
    | HotwellOverheated
    | GlassCockShut
    | GaugeReadsWrong
    | OilyFeed
    | Heels
    | StreamTurns
    | WindGetsUp
    | LockDelayed
    | CrewAshore,
    Field(discriminator="kind"),
]
