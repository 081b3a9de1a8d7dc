"""What a file says of the body's look: drawn, checked against itself, and no input of anything computed."""

from __future__ import annotations

import pytest

from articulate.output.figures.scene import outline_of
from articulate.spec import build, load_vehicle, with_settings
from articulate.spec.errors import SpecError

WAGON = "vehicle_specs_demo/wagon.toml"


def test_the_shape_is_drawn_and_nothing_is_computed_from_it():
    plain = load_vehicle(WAGON)
    said = {"shape.kind": "crossover", "shape.roof_height": "1.7 m", "shape.width": "1.95 m", "shape.length": "4.9 m"}
    shaped = with_settings(plain, list(said.items()))
    assert shaped.inputs == plain.inputs
    assert not any(remark.startswith("shape.") for remark in shaped.remarks)
    outline = outline_of(build(shaped), spec=shaped)
    assert outline.kind == "crossover"
    assert outline.height == pytest.approx(1.7)
    assert outline.half_width == pytest.approx(0.975)
    assert outline_of(build(plain), spec=plain).kind == "long wagon"


def test_a_length_that_its_overhangs_deny_is_a_fault():
    said = {"shape.front_overhang": "850 mm", "shape.rear_overhang": "1100 mm", "shape.length": "4.4 m"}
    with pytest.raises(SpecError, match="make it"):
        with_settings(load_vehicle(WAGON), list(said.items()))
    said["shape.length"] = "4.8 m"
    assert with_settings(load_vehicle(WAGON), list(said.items())).shape.length == pytest.approx(4.8)


def test_a_kind_that_there_is_not_is_refused_with_those_there_are():
    with pytest.raises(SpecError, match="long wagon"):
        with_settings(load_vehicle(WAGON), [("shape.kind", "spaceship")])
