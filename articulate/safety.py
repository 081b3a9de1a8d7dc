"""What every text says about safety: one source for cautions, the test-day sheet and the audit's checks.

The ground they stand on is statics: at the mark three wheels carry the vehicle, it can roll back down the ramp or rock
about the diagonal of the two wheels that carry most, and a gearbox or driveline that is held turns both wheels of an
open differential against each other where one of them is light. The rest is common practice, no source.
"""

from __future__ import annotations

RATING_MARGIN = 1.5  # of the ramp's rating over the heaviest load expected on it; common practice, no source
POLE, STRAP = "2 m (6.5 ft)", "3 m (10 ft)"  # that keep hands and feet off; common practice, no source

# One line of an 80-column terminal, under every predicted mark.
THREE_WHEELS = "Caution: three wheels carry it at the mark; nobody beside, behind or under it."

APPROACH = (
    "The mark is read by a camera, square to a scale along the slope. A hand reading takes one person, on the driver's "
    "word, the vehicle still, braked and chocked: from ahead, on the ramp's side, and away before it moves."
)
KEEP_AWAY = "Nobody beside, under or behind it (it would roll back that way), or below it on the ramp."
BRAKES = (
    "The driver stays in, foot on the service brake, parking brake on as well. Park in the gearbox, a gear or a brake "
    "on the drive line does not hold through an open differential with a wheel unloaded."
)
FILM = (
    "Film and straps lie where the tyres will stand at the mark, not where they start; the strap is pulled from afar, "
    "never from behind."
)
CHOCKS = (
    f"Chocks go behind the tyres on the floor on poles of {POLE}, from ahead and at the pole's length; no hand near a "
    "loaded tyre."
)
RAMP = "The ramp is held against sliding and rated for more than the heaviest wheel load it gets."
BARS = "No hand near a bar that holds load: it is released unloaded, or from the driver's seat if it is made for that."
UNLOADED = "The bars must be unloaded."
RECONNECT = "Back on the level floor, the bars unloaded."
SIGNS = "Slip, creak, or a third wheel light."  # of a run that must not go on
STOP = "Stop on any slip, creak or doubt, and drive straight back down; never rock it on three wheels."
FROM_THE_FIRST_CREEP = (
    f"From the first creep until it stands on four wheels again: {KEEP_AWAY[0].lower()}{KEEP_AWAY[1:]}"
)
SPOTTER = "A spotter whom the driver sees, ahead and to the side; creep, no throttle bursts; belts on, windows up."
NO_PERMISSION = "The tipping margin is a calculation for a standing vehicle; it is no permission."
PRACTICE = "Local rules and licensed practice come first."

CAUTIONS = (
    FROM_THE_FIRST_CREEP,
    BRAKES,
    APPROACH,
    CHOCKS,
    FILM,
    RAMP,
    SPOTTER,
    STOP,
    BARS,
    NO_PERMISSION,
    PRACTICE,
)
CAUTION = (
    f"{THREE_WHEELS} Brakes held and wheels chocked, hands clear of a loaded tyre (pull the film with a strap), stop "
    "on any slip. Release a bar only where it is unloaded, on level ground, unless its release is made for the ramp. "
    f"{PRACTICE}"
)
BLOCKS_CAUTION = (
    "Caution: at that height three wheels carry it, two of them on blocks, and it rocks about these; nobody beside, "
    "behind or under it. Solid blocks, wider than the tyre, that cannot tip, slide, roll or split, each rated for the "
    "load given, on firm level ground; driven on slowly with a spotter ahead, or raised with a rated jack while nobody "
    "reaches in; never more height than the test needs. Brakes held, the wheels on the ground chocked, hands clear of "
    "a loaded tyre and of the hanging wheel (pull a film with a strap); never rock it, stop on any slip or creak. "
    f"Release a bar only where it is unloaded, on level ground. {PRACTICE}"
)
TYRE_CAUTION = (
    "Caution: larger tyres, spacers and low pressures change braking, steering, stability and load capacity. Keep to "
    "the tyre's own load and pressure tables, local rules and licensed practice."
)

# Of the checks an audit asks for.
AT_THE_MARK = f"{KEEP_AWAY} {APPROACH}"
CLIMB_AGAIN = f"{KEEP_AWAY} {BRAKES} {BARS}"
ON_THE_FLAT = "On level ground, wheels chocked, engine off."
REACH_IN = "Reach in from the side; nobody under a vehicle that stands on its wheels only."
ON_STANDS = "Rated jack and stands on firm level ground; nobody under it while it is on the jack."
