"""Words that several texts share: how a climb ended."""

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
