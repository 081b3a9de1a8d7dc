"""Pages for the ramp, made without the audit beforehand, which takes most of their time."""

from __future__ import annotations

from pathlib import Path

from articulate.cli.measure_commands import head_of
from articulate.measure import defaults
from articulate.output.ramp_page.content import SheetFacts, page_data
from articulate.output.ramp_page.page import ramp_page_html
from articulate.output.text.conditions import condition_short, stated
from articulate.output.units import lengths_of
from articulate.spec import build, load_vehicle
from articulate.studies.at_ramp.along import Along
from articulate.studies.at_ramp.sample import ramp_sample
from articulate.studies.at_ramp.surprises import Surprise, Suspect
from articulate.studies.audit.checks import Check
from articulate.studies.day.plan import plan_test
from articulate.studies.day.run_hints import case_hints
from articulate.studies.population.conditions import Conditions, exactly
from articulate.studies.population.model_error import ASSUMED_MODEL_ERROR
from articulate.studies.population.runs import Population, cases_of

BEFOREHAND = tuple(
    Surprise(
        what,
        low,
        0.3,
        (Suspect(f"A {what} is {'low' if low else 'high'} for this reason.", 0.2),),
        (Check(f"look at the {what}", "Look.", "With care.", 1.0, ()), Check("tape it", "Tape.", "", 1.0, ())),
    )
    for what in ("score", "gain")
    for low in (True, False)
)


def ramp_page(vehicle: Path, place: Path, points: int = 256, sides: tuple[str, ...] = ("left", "right")) -> Path:
    """A page for a vehicle file, written to a place in a folder."""
    spec = load_vehicle(vehicle)
    touch = defaults.TOUCH_LOAD.estimate()
    conditions = Conditions(touch_load=exactly(touch.mean, "N"))
    cases = [case for side in sides for case in cases_of(spec, side)]
    sample = ramp_sample(spec, conditions, cases, points)
    named = [(case.side, case.bars) for case in cases]
    hints = tuple(case_hints(build(spec), named, float(angle), spec.name) for angle in sample.angles)
    along = Along(sides[0], touch, False, sample, hints, BEFOREHAND, ASSUMED_MODEL_ERROR)
    head = head_of(spec, vehicle, place)
    held = condition_short(stated(conditions, sides[0], [spec]))
    facts = SheetFacts(head.vehicle, head.vehicle_file, head.wheelbase, lengths_of([spec]), held)
    plan = plan_test(Population.of(spec), sides[0], 64)
    place.write_text(ramp_page_html(page_data(plan, along, spec, facts, "floor")), encoding="utf-8")
    return place
