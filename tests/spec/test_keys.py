"""The table of keys agrees with itself, and with what physics says of signs."""

from collections.abc import Mapping
from dataclasses import fields

import pytest

from articulate.model.vehicles import Vehicles
from articulate.spec import defaults
from articulate.spec.defaults import Default
from articulate.spec.key_lookup import all_keys, entry_of, forms_of, place_of
from articulate.spec.quantities import unit_size

ENTRIES = {key: entry for key in all_keys() if (entry := entry_of(key)) is not None}
ASSUMING = {key: entry for key, entry in ENTRIES.items() if entry.assumed is not None}

# By what they are: a place, a difference or an angle may lie either way, what a vehicle has not may be nothing.
EITHER_WAY = {
    "left_of_centre",
    "behind_front_axle",
    "pivot_above_hub",
    "roll_centre_above_hub",
    "ride_height_change",
    "steering_offset",
    "inboard",
    "clock",
    "mass_change",
}
MAY_BE_NOTHING = {
    "bump",
    "droop",
    "cubic_rate",
    "inner_diameter",
    "arch_gap",
    "arch_gap_at_full_lock",
    "clearance_kept",
    "lock_angle",
    "height",
    "suspension_friction",
    "over_springs",
    "raised_by",
    "lowered_by",
    "rises_at",
    "load.mass",
}


def assumed_by(entry):
    return list(entry.assumed.values()) if isinstance(entry.assumed, Mapping) else [entry.assumed]


@pytest.mark.parametrize("key", ENTRIES)
def test_an_entry_has_an_example_that_can_be_read_and_the_sign_of_its_quantity(key):
    entry = ENTRIES[key]
    assert entry.low < entry.high
    entry.read(entry.example)
    last = key.rpartition(".")[2]
    assert (entry.low < 0.0) == (last in EITHER_WAY)
    assert (entry.low == 0.0) == (last in MAY_BE_NOTHING or key in MAY_BE_NOTHING)


@pytest.mark.parametrize("key", ASSUMING)
def test_what_is_assumed_lies_in_the_range_and_has_its_evidence(key):
    entry = ASSUMING[key]
    for default in assumed_by(entry):
        assert entry.low <= default.low * default.unit_size <= default.high * default.unit_size <= entry.high
        assert default.unit == "" or unit_size(default.unit, entry.dimension) == pytest.approx(default.unit_size)
        assert default.relation
        assert default.known


def test_every_default_is_assumed_by_a_key():
    """All but the mass of a tyre by its area, which no key of the file holds."""
    used = {id(default) for entry in ASSUMING.values() for default in assumed_by(entry)}
    for name, value in vars(defaults).items():
        found = list(value.values()) if isinstance(value, dict) and not name.startswith("_") else [value]
        for default in found:
            if isinstance(default, Default) and name != "TYRE_AREAL_MASS":
                assert id(default) in used, name


def test_ties_and_arrays_are_those_of_keys_both_axles_have():
    arrays = {field.name for field in fields(Vehicles)}
    for key, entry in ENTRIES.items():
        if entry.tie:
            assert 0.0 < entry.tie < 1.0
            assert entry.assumed is not None
        if entry.array:
            assert key.startswith(("front.", "rear."))
            assert entry.array in arrays


def test_forms_are_keys_of_their_table():
    tables = {place[0] for key in all_keys() if (place := place_of(key))}
    assert any(table.forms for table in tables)
    for table in tables:
        for forms in table.forms:
            assert {key for form in forms for key in form} <= set(table.model_fields)
    for key in ("front.spring.rate", "rear.anti_roll_bar.end_rate", "mass.static_stability_factor"):
        assert any(key.rpartition(".")[2] in form for form in forms_of(key))
