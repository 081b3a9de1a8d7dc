"""The ramp test, as texts with their units, checked when it is made."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from articulate.errors import ArgumentError
from articulate.studies.typed import TypedRamp, read_ramp

if TYPE_CHECKING:
    from articulate.model.ramp_test import RampTest
    from articulate.studies.population.conditions import Conditions

_CALLED = {"ramp_angle": "angle", "ramp_length": "length"}


@dataclass(frozen=True)
class Ramp:
    """The test that a vehicle is put to: `Ramp(angle="23 deg", side="right")`.

    Every quantity is a text with its unit, as in a vehicle file, so that no number is taken for another unit's.

    Attributes:
        angle: 5 to 35 deg, with or without a range: "20 deg ± 0.3 deg".
        side: of the front wheel on the ramp, "left" or "right".
        touch_load: load at which a wheel counts as unloaded; "10 to 50 N" for a film.
        holding_share: share of the slope force that the ramp wheel holds, 0 to 1; None where it is not known.
        length: along the slope, such as "10 ft"; None where it is not known.
        friction: of tyre on ramp and floor, such as "0.6 to 1.0"; None for dry ground.

    Raises:
        ArgumentError: every argument that cannot be used, with what would work.
    """

    angle: str = "20 deg"
    side: str = "left"
    touch_load: str = "0 N"
    holding_share: float | str | None = None
    length: str | None = None
    friction: str | None = None

    def __post_init__(self) -> None:
        """Refuse what cannot be used."""
        self.typed()

    def typed(self) -> TypedRamp:
        """The test with its quantities read [SI]."""
        faults: list[str] = []
        texts = {"angle": self.angle, "touch_load": self.touch_load, "length": self.length, "friction": self.friction}
        for name, value in texts.items():
            if value is not None and not isinstance(value, str):
                faults.append(f"{name} {value!r}: a number has no unit; write a text such as {_LIKE[name]!r}")
        if not faults:
            named = read_ramp(
                faults,
                lambda argument: _CALLED.get(argument, argument),
                self.angle,
                self.side,
                self.touch_load,
                self.holding_share,
                self.length,
                self.friction,
            )
            if named is not None:
                return named
        raise ArgumentError("; ".join(faults))

    def test(self) -> RampTest:
        """The test of one climb, a batch of one, by nominal values [SI]."""
        return self.typed().test()

    def conditions(self) -> Conditions:
        """The test with its ranges."""
        return self.typed().conditions()


_LIKE = {"angle": "20 deg", "touch_load": "30 N", "length": "10 ft", "friction": "0.8"}
USUAL = Ramp()
