"""Sentences and words that several texts share: how a climb ended, and the cautions."""

from __future__ import annotations

from articulate.climb import Outcome

OUTCOMES = {
    Outcome.WHEEL_LIFTS: "a wheel lifts",
    Outcome.RAMP_ENDS: "the ramp ends first",
    Outcome.EQUILIBRIUM_JUMPS: "jumps",
    Outcome.TIPS: "would TIP",
    Outcome.NOT_CONVERGED: "no answer found",
    Outcome.UNSTABLE_AT_REST: "does not stand upright",
}

CAUTION = (
    "Caution: at the mark the vehicle stands on three wheels. Nobody beside or under it, wheels chocked, hands clear "
    "of a loaded tyre (pull the film with a strap), stop on any slip. Release a bar only where it is unloaded, on "
    "level ground, unless its release is made for the ramp. Local rules and licensed practice come first."
)
TYRE_CAUTION = (
    "Caution: larger tyres, spacers and low pressures change braking, steering, stability and load capacity. Keep to "
    "the tyre's own load and pressure tables, local rules and licensed practice."
)
CAUTIONS = (
    "Wheels on the floor chocked whenever the vehicle stands; parking brake on.",
    "Nobody beside or under the vehicle, or below it on the ramp, while it stands on three wheels.",
    "Hands clear of a loaded tyre: pull the film with a strap, from a distance.",
    "A spotter whom the driver sees; creep, no throttle bursts; belts on, windows up.",
    "Stop on any slip, creak or doubt, and drive straight back down; never rock it on three wheels.",
    "No hand near a bar that holds load: it is released unloaded, or from the driver's seat if it is made for that.",
    "The tipping margin is a calculation for a standing vehicle; it is no permission.",
    "Local rules and licensed practice come first.",
)
