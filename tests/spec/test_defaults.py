"""The minimal file resolves completely; what it does not say is an assumed input with range and basis."""

import numpy as np
import pytest

from articulate.spec import build
from articulate.spec.key_lookup import all_keys

GIVEN = {
    "wheelbase",
    "mass.total",
    "tyre.diameter",
    "tyre.width",
    "tyre.rim_diameter",
    "front.track",
    "front.travel.total",
    "rear.track",
    "rear.travel.total",
}


def test_what_the_minimal_file_leaves_out_is_assumed_with_range_and_basis(edited):
    spec = edited()
    assert set(spec.inputs) - set(spec.assumed()) == GIVEN
    for key, estimate in spec.assumed().items():
        assert estimate.low < estimate.high, key
        assert estimate.low <= estimate.value <= estimate.high, key
        known = ("not checked", "no source", "2004", "second-hand", "workshop manual", "from memory")
        assert any(word in estimate.basis for word in known), key
    assert spec.inputs["tyre.diameter"].source == "published"


def test_every_input_is_a_key_of_the_file(demo_files):
    from articulate.spec import load_vehicle

    keys = all_keys()
    for file in demo_files:
        for key in load_vehicle(file).inputs:
            part, _, rest = key.partition(".")
            plain = f"{part}.{rest.rpartition('.')[2]}" if part in ("load", "body_point") else key
            if rest.startswith("wheelhouse."):
                plain = f"{part}.wheelhouse.{rest.rpartition('.')[2]}"
            assert plain in keys, key


def test_given_estimates_name_text_and_line(edited):
    estimate = edited().inputs["mass.total"]
    assert (estimate.source, estimate.basis, estimate.distribution) == (
        "given",
        '"2100 kg", line 7',
        "exact",
    )
    assert estimate.standard_uncertainty == 0.0


@pytest.mark.parametrize(
    ("entry", "distribution", "source", "low", "high", "u"),
    [
        ('"2100 ± 20 kg"', "rectangular", "given", 2080, 2120, 20 / 3**0.5),
        (
            '{ value = "2100 kg", plus_minus = "20 kg", source = "measured" }',
            "rectangular",
            "measured",
            2080,
            2120,
            20 / 3**0.5,
        ),
        ('{ value = "2100 kg", plus_minus = "1 %" }', "rectangular", "given", 2079, 2121, 21 / 3**0.5),
        (
            '{ value = "2100 kg", standard_uncertainty = "8 kg" }',
            "normal",
            "given",
            2100 - 13.159,
            2100 + 13.159,
            8,
        ),
        (
            '{ value = "2100 kg", range = ["2080 kg", "2150 kg"] }',
            "triangular",
            "given",
            2080,
            2150,
            (3900 / 18) ** 0.5,
        ),
        (
            '{ range = ["2000 kg", "2200 kg"], source = "published" }',
            "rectangular",
            "published",
            2000,
            2200,
            100 / 3**0.5,
        ),
        ('{ range = "2.0 to 2.2 t" }', "rectangular", "given", 2000, 2200, 100 / 3**0.5),
    ],
)
def test_how_well_a_value_is_known(edited, entry, distribution, source, low, high, u):
    estimate = edited(('"2100 kg"', entry)).inputs["mass.total"]
    assert (estimate.value, estimate.distribution, estimate.source) == (
        pytest.approx(2100),
        distribution,
        source,
    )
    assert (estimate.low, estimate.high) == pytest.approx((low, high), abs=1e-3)
    assert estimate.standard_uncertainty == pytest.approx(u)


def test_standard_uncertainty_of_an_uneven_triangle_by_sampling(edited):
    estimate = edited(('"2100 kg"', '{ value = "2100 kg", range = ["2050 kg", "2300 kg"] }')).inputs["mass.total"]
    drawn = np.random.default_rng(5).triangular(estimate.low, estimate.value, estimate.high, 200_000)
    assert estimate.standard_uncertainty == pytest.approx(drawn.std(), rel=0.01)


@pytest.mark.parametrize(
    ("construction", "low", "high"),
    # Orders of magnitude, value from memory.
    [("closed body", 15, 30), ("body on frame", 5, 12), ("open pickup on ladder frame", 2.5, 6)],
)
def test_torsional_rate_follows_the_construction(edited, construction, low, high):
    spec = edited(('construction = "body on frame"', f'construction = "{construction}"'))
    estimate = spec.inputs["frame.torsional_rate"]
    kilo_per_degree = np.degrees(1.0) * 1e3
    assert (estimate.low, estimate.high) == pytest.approx((low * kilo_per_degree, high * kilo_per_degree))


def test_height_comes_from_the_published_range(edited):
    # NHTSA rollover ratings, model year 2004: SSF 1.067-1.333 and a mean height of 26.7 in over 28
    # rows; seen.
    estimate = edited().inputs["mass.static_stability_factor"]
    assert (estimate.low, estimate.high) == (1.067, 1.333)
    track = 62.0  # [in], typical of these rows
    assert track / (2 * estimate.value) == pytest.approx(26.7, abs=0.1)


@pytest.mark.parametrize(
    ("kind", "suspension", "loose"),
    [
        ("coil", "independent", False),
        ("coil", "solid", True),
        ("leaf", "solid", False),
        ("torsion bar", "independent", False),
        ("air", "independent", True),
        ("air", "solid", True),
    ],
)
def test_which_springs_cannot_pull(edited, kind, suspension, loose):
    spec = edited(('suspension = "independent"', f'suspension = "{suspension}"\nspring.kind = "{kind}"'))
    assert build(spec).spring_loose[0, 0] == loose
    other = "held" if loose else "loose"
    spec = edited(
        (
            'suspension = "independent"',
            f'suspension = "{suspension}"\nspring.kind = "{kind}"\nspring.seat = "{other}"',
        )
    )
    assert build(spec).spring_loose[0, 0] != loose


@pytest.mark.parametrize("front", ["independent", "solid"])
@pytest.mark.parametrize("rear", ["independent", "solid"])
def test_assumed_bars_give_a_typical_roll_gradient(edited, front, rear):
    # Cars are 3.0 (extremely firm) to 8.5 deg/g (very soft), Milliken and Milliken 1995, ch. 16, value from memory; the
    # tyres, left out here, add to it. Roll axis: line of the two roll centres at half wheelbase.
    v = build(
        edited(
            ('suspension = "independent"', f'suspension = "{front}"'),
            ('suspension = "solid"\ntrack', f'suspension = "{rear}"\ntrack'),
            ("anti_roll_bar = false", "anti_roll_bar = true"),
        )
    )
    base = np.where(v.solid, 2 * v.spring_half_base, v.track)
    stiffness = (0.5 * v.spring_rate * base**2 + v.bar_rate * v.track**2).sum()
    pivot = v.reference_hub_height() + v.pivot_height
    centre = np.where(v.solid, pivot, 0.5 * v.track * pivot / v.swing_arm)
    couple = v.sprung_mass[0] * 9.80665 * (v.sprung_centre[0, 2] - centre.mean())
    assert 3.0 < np.degrees(couple / (stiffness - couple)) < 8.5


def test_solid_axles_are_heavier(edited):
    spec = edited()
    front, rear = spec.inputs["front.unsprung_share"], spec.inputs["rear.unsprung_share"]
    assert front.value < rear.value
    v = build(spec)
    assert v.unsprung_mass[0] == pytest.approx([2100 * front.value, 2100 * rear.value])


def test_a_flotation_size_runs_under_its_first_number(edited):
    # Real design diameters run 1-2 % under; value from memory.
    estimate = edited(('"265/70R17"', '"35x12.50R17"')).inputs["tyre.diameter"]
    assert 0.97 * 35 * 0.0254 <= estimate.low < estimate.value < estimate.high <= 35 * 0.0254 + 1e-9


def test_a_full_section_size_leaves_more_open_than_a_metric_one(edited):
    plain, cross_ply = edited(), edited(('"265/70R17"', '"7.50-16 LT 8PR"'))
    for name in ("diameter", "width", "stiffness_factor"):
        one, other = (spec.inputs[f"tyre.{name}"] for spec in (plain, cross_ply))
        assert (other.high - other.low) / other.value > 1.2 * (one.high - one.low) / one.value
        assert "not checked" in other.basis
    # A cross-ply tyre is no softer than a radial of its size and pressure; value from memory.
    assert cross_ply.inputs["tyre.stiffness_factor"].value > plain.inputs["tyre.stiffness_factor"].value
    radial = edited(('"265/70R17"', '"7.50R16"'))
    assert radial.inputs["tyre.stiffness_factor"] == plain.inputs["tyre.stiffness_factor"]
    # Some 300 N/mm at 3 bar: 10 kN on 30 to 35 mm of deflection; value from memory.
    stiff = build(edited(('"265/70R17"', '"7.50-16"\ntyre.pressure = "300 kPa"'))).tyre_stiffness[0, 0]
    assert 250e3 < stiff < 400e3
