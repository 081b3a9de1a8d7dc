"""Options that describe the ramp test: what each command may be told of it, and how it is read.

Commands about one climb and commands about bands are told the same things; what they make of a range differs, and
`TypedRamp` serves both.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from articulate.cli.places import REFUSED
from articulate.cli.reading import read_spec, stop_at

if TYPE_CHECKING:
    from articulate.spec import VehicleSpec
    from articulate.studies.day.moving_climb import ReleaseOn
    from articulate.studies.typed import TypedRamp

RampAngle = Annotated[str, typer.Option(help="5 to 35 deg.")]
UncertainAngle = Annotated[str, typer.Option("--ramp-angle", help="5 to 35 deg, e.g. '20 deg ± 0.3 deg'.")]
Side = Annotated[str, typer.Option(help="Front wheel on the ramp: left or right.")]
TouchLoad = Annotated[str, typer.Option(help="Load at which a wheel counts as unloaded.")]
FilmLoad = Annotated[
    str, typer.Option("--touch-load", help="Load at which a wheel counts as unloaded; a film needs 10 to 50 N.")
]
UncertainLoad = Annotated[
    str, typer.Option("--touch-load", help="Load at which a wheel counts as unloaded, e.g. '10 to 50 N'.")
]
HoldingShare = Annotated[
    float | None,
    typer.Option(help="Share of the slope force that the ramp wheel holds, 0-1; without it the drive's, or 0.5."),
]
UnknownShare = Annotated[
    float | None,
    typer.Option(
        help="Share of the slope force that the ramp wheel holds, 0-1; without it the drive's, or 0.5 and not known."
    ),
]
UncertainShare = Annotated[
    str,
    typer.Option("--holding-share", help="Share of the slope force that the ramp wheel holds; a known drive says it."),
]
Friction = Annotated[
    str | None,
    typer.Option(help="Friction of tyre on ramp and floor, where the drive is known; dry if not said, 0.6 to 1.0."),
]
RampLength = Annotated[str | None, typer.Option(help="Along the slope, e.g. '10 ft'.")]

ReleasedOn = Annotated[
    str,
    typer.Option("--release-on", help="Where bars are released: floor (unloaded), or ramp (from the driver's seat)."),
]


USUAL_RAMP: dict[str, Any] = {
    "ramp_angle": "20 deg",
    "side": "left",
    "touch_load": "0 N",
    "holding_share": None,
    "ramp_length": None,
    "friction": None,
}


class RampOptions:
    """Options of the ramp; a field that a group has not is as the usual ramp has it."""

    def read(self, faults: list[str]) -> TypedRamp:
        """The ramp, or stop with all that is wrong with it and with what was read before."""
        ramp = self._noted(faults)
        stop_at(faults)
        assert ramp is not None
        return ramp

    def read_with(
        self, vehicle: Path, settings: list[str] | None, faults: list[str], if_any: Sequence[str] = ()
    ) -> tuple[TypedRamp, VehicleSpec]:
        """The ramp and a vehicle file with its settings, or stop with all that is wrong, with what was read before too.

        if_any: faults that are said here where there are others; without, they are found once more with what needs the
            vehicle.
        """
        spec = read_spec(vehicle, settings, faults)
        ramp = self._noted(faults)
        if faults or REFUSED.get():
            faults += if_any
        stop_at(faults)
        assert ramp is not None
        assert spec is not None
        return ramp, spec

    def _noted(self, faults: list[str]) -> TypedRamp | None:
        from articulate.studies.typed import read_ramp

        return read_ramp(faults, _option, **{**USUAL_RAMP, **vars(self)})


@dataclass(frozen=True, eq=False, repr=False)
class CarriedRamp(RampOptions):
    """The ramp of a climb whose holding share may be unknown; a carried score has no use for a ramp's length."""

    ramp_angle: RampAngle = "20 deg"
    side: Side = "left"
    touch_load: TouchLoad = "0 N"
    holding_share: UnknownShare = None
    friction: Friction = None


@dataclass(frozen=True, eq=False, repr=False)
class RampOfPossible(CarriedRamp):
    """The ramp of climbs of possible vehicles."""

    ramp_length: RampLength = None


@dataclass(frozen=True, eq=False, repr=False)
class ExactRamp(RampOfPossible):
    """The ramp of one climb."""

    holding_share: HoldingShare = None


@dataclass(frozen=True, eq=False, repr=False)
class LadderRamp(RampOptions):
    """The ramp of a ladder of tyres, which climbs on the left."""

    ramp_angle: RampAngle = "20 deg"
    friction: Friction = None


@dataclass(frozen=True, eq=False, repr=False)
class ClearanceRamp(LadderRamp):
    """The ramp that the underside is held against."""

    side: Side = "left"


@dataclass(frozen=True, eq=False, repr=False)
class FilmRamp(ClearanceRamp):
    """The ramp of a test day: what a film under the tyre holds, and no end of the ramp."""

    touch_load: FilmLoad = "0 N"


@dataclass(frozen=True, eq=False, repr=False)
class RangedRamp(RampOptions):
    """The ramp with what is not known of it as ranges."""

    ramp_angle: UncertainAngle = "20 deg"
    side: Side = "left"
    touch_load: UncertainLoad = "0 N"
    holding_share: UncertainShare = "0 to 1"
    ramp_length: RampLength = None
    friction: Friction = None


def _option(argument: str) -> str:
    return f"--{argument.replace('_', '-')}"


def sheet_says(context: typer.Context, sheet: Path | None, names: Sequence[str], faults: list[str]) -> None:
    """Note options that were typed beside a run sheet, which says what they would."""
    for name in names if sheet is not None else ():
        source = context.get_parameter_source(name)
        if source is not None and source.name == "COMMANDLINE":
            faults.append(f"--{name.replace('_', '-')}: the run sheet says it; leave it out, or change {sheet}")


def read_release_on(release_on: str, faults: list[str]) -> ReleaseOn | None:
    """Where the bars are released; what is wrong goes to the faults."""
    from articulate.studies.day.moving_climb import RELEASE_ON

    place = next((one for one in RELEASE_ON if one == release_on), None)
    if place is None:
        faults.append(f"--release-on {release_on}: not a place; floor or ramp")
    return place


def check_bars(bars: str, faults: list[str]) -> None:
    """Note a state of the bars that there is not."""
    from articulate.types import BAR_STATES

    if bars not in BAR_STATES:
        faults.append(f"--bars {bars}: not a state of the bars; connected or released")
