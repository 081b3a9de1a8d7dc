"""What to look at next: cheap observations, each with what to do, what it takes and which channels it reads."""

from __future__ import annotations

from dataclasses import dataclass

from articulate.safety import AT_THE_MARK, BRAKES, CLIMB_AGAIN, FILM, ON_STANDS, ON_THE_FLAT, REACH_IN
from articulate.studies.audit.cause import Scene
from articulate.studies.audit.channels import key_of, wheel_key
from articulate.types import AXLES, Case

# What is looked at, without a number, and where: a cause names the looks that find it in its `marks`.
LOOKS = {
    "bar links": "each anti-roll bar link, bolt and lever, against what the sheet calls the run",
    "coil seats": "each coil in its upper and lower seat, drooped and at rest",
    "rub marks": "arches and liners for fresh rub marks, tyres for scuffs",
    "tread streaks": "ramp and floor for dark streaks, treads for fresh scrub, where a driven wheel spun",
    "load aboard": "cargo, tools, passengers and fuel that the file does not count, or counts and are not there",
    "low tyre": "each tyre's bulge against those of the others",
    "levelling": "whether the levelling was off, and whether its compressor or valves were heard on the way up",
    "tape numerals": "the numerals at each mark, in photographs or stills of the film, against those on the sheet",
    "how it was taken": "film of the runs: square or plumb line, how the tape lay, which wheel was on the ramp",
    "working": "the way from the tape to the score, worked out again from the notes",
}


@dataclass(frozen=True)
class Check:
    """One observation: its name, what to do, its caution, its cost [min] and what is read."""

    name: str
    instruction: str
    caution: str
    minutes: float
    channels: tuple[str, ...]
    looks: tuple[str, ...] = ()
    at_mark: bool = False  # only while the vehicle still stands there


def _corners(stem: str) -> tuple[str, ...]:
    return tuple(f"{stem}.{wheel_key(wheel)}" for wheel in range(4))


def _at_mark(case: Case) -> list[Check]:
    where, words = key_of(case), f"{case.side}, bars {case.bars}"
    return [
        Check(
            f"photograph the bump stops at the mark ({words})",
            "Before the climb, fix a rule beside each bump stop and a camera that sees it, or one on a long pole. "
            "Drive up again, stop at the lift, take the pictures.",
            f"{AT_THE_MARK} {BRAKES}",
            12.0,
            _corners(f"{where}.stop_gap"),
        ),
        Check(
            f"measure roll with a phone at the mark ({words})",
            "On the floor, strap a phone's level across the front and another across the rear bumper and set them to "
            "zero. Drive up again, stop at the lift, read them from what they recorded, or by a camera from afar.",
            f"{AT_THE_MARK} {BRAKES}",
            10.0,
            (f"{where}.roll_front", f"{where}.roll_rear"),
        ),
    ]


def checks(scene: Scene) -> list[Check]:
    """All checks that this vehicle and sheet allow."""
    air = any(axle.spring_kind == "air" for axle in scene.spec.axles)
    found = []
    for case in scene.runs:
        words, new = f"{case.side}, bars {case.bars}", case not in scene.cases
        if not new:
            found.append(
                Check(
                    f"take the mark again ({words})",
                    "With the vehicle still at its stop, set the square to the ramp through the hub anew and read the "
                    "distance along the ramp from its toe, by camera and a scale on the slope; a second person reads.",
                    f"{AT_THE_MARK} {BRAKES}",
                    4.0,
                    (f"{key_of(case)}.mark_again",),
                    at_mark=True,
                )
            )
        found.append(
            Check(
                f"make the {'other run' if new else 'run again'} ({words})",
                "Creep up until the film under the wheel just pulls out, set the square, read the mark along the ramp.",
                f"{CLIMB_AGAIN} {FILM}",
                10.0,
                (f"{key_of(case)}.run_again",),
            )
        )
    shown: set[str] = set()
    for case in scene.cases:
        if case.bars not in shown:
            shown.add(case.bars)
            found += _at_mark(case)
    found += [
        Check(
            "measure the ramp",
            "Lay a digital level along the wheel's line, or tape rise and run.",
            "With the vehicle off the ramp.",
            3.0,
            ("ramp.angle",),
        ),
        Check(
            "sight the line of the wheels",
            "From the tracks of a tyre on ramp and floor, or a string along both wheels of a side: the angle to the "
            "ramp's edge.",
            "With the vehicle off the ramp.",
            4.0,
            ("vehicle.heading",),
        ),
        Check(
            "watch ramp and floor give",
            "Fix a rule beside the ramp where the wheel will stand and one on the floor by the rear wheel across; "
            "drive up again and read from a film how far both go down.",
            f"{AT_THE_MARK} {BRAKES}",
            12.0,
            ("ramp.sinks", "floor.sinks"),
        ),
        Check("tape the wheelbase", "Hub to hub on both sides, wheels straight.", ON_THE_FLAT, 4.0, ("wheelbase",)),
        Check(
            "weigh the corners",
            "Each wheel on a scale, all four at one height, as the vehicle was run.",
            ON_THE_FLAT,
            20.0,
            _corners("rest.load"),
        ),
        Check(
            "tape the hub heights",
            "Floor to hub centre at each wheel, as the vehicle was run.",
            ON_THE_FLAT,
            4.0,
            _corners("rest.hub_height"),
        ),
        Check(
            "gauge the bump stops at rest",
            "Gap from each bump stop, spacers included, to what it will meet, at ride height.",
            f"{ON_THE_FLAT} {REACH_IN}",
            8.0,
            _corners("rest.stop_gap"),
        ),
        Check(
            "measure the droop",
            "Lift the body until each wheel hangs, on stands; take how far each fell from ride height.",
            ON_STANDS,
            25.0,
            _corners("rest.droop"),
        ),
        Check(
            "tape the tyres",
            "Diameter from the circumference over the middle of the tread, or read the size on all four.",
            ON_THE_FLAT,
            4.0,
            ("tyre.diameter",),
        ),
        Check(
            "test the spring rates",
            "Load a known mass over each axle and take how far the body sinks over the wheels.",
            f"{ON_THE_FLAT} Lash the load.",
            20.0,
            tuple(f"spring_rate.{axle}" for axle in AXLES),
        ),
        Check(
            "let the body settle from above and from below",
            "Push the body down over each axle and let it up slowly, then lift it and let it down slowly; tape between "
            "the two heights at which it stays.",
            ON_THE_FLAT,
            6.0,
            tuple(f"friction_band.{axle}" for axle in AXLES),
        ),
        Check(
            "walk round and look",
            "Look at the bar links against what the run is called, the coil seats, the arches for rub marks, ramp "
            "and floor for streaks of tread where a wheel spun, each tyre's bulge, and what is aboard or is not."
            + (" Was the levelling off?" if air else ""),
            ON_THE_FLAT,
            6.0,
            (),
            (
                *("bar links", "coil seats", "rub marks", "tread streaks", "load aboard", "low tyre"),
                *(("levelling",) if air else ()),
            ),
        ),
        Check(
            "look through photographs and film",
            "Where the runs were filmed: read the tape's numerals at each mark anew; see whether a square or a plumb "
            "line was set, from where and along what the tape lay, and which wheel was on the ramp.",
            "",
            5.0,
            (),
            ("tape numerals", "how it was taken"),
        ),
        Check(
            "work the score out again",
            "From the notes: which length was read, sine of the ramp angle, which side, which wheelbase.",
            "",
            3.0,
            (),
            ("working",),
        ),
    ]
    if "tyre.pressure" in scene.spec.inputs:
        tyres = _corners("tyre.pressure")
        found.append(Check("gauge the tyres", "All four, cold, as run.", ON_THE_FLAT, 4.0, tyres))
    if scene.sheet_radius is not None:
        found.append(
            Check(
                "take the wheel's radius again",
                "Ground to hub centre of the climbing wheel, where the sheet gives it: of the loaded wheel, not half "
                "the tyre's diameter.",
                ON_THE_FLAT,
                3.0,
                ("wheel.radius",),
            )
        )
    return found
