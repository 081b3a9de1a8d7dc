"""The quantity reader against pint, which knows every unit factor independently."""

import math

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from articulate.spec.errors import QuantityError
from articulate.spec.quantities import (
    ANGLE,
    CUBIC_RATE,
    FORCE,
    FREQUENCY,
    LENGTH,
    LINEAR_RATE,
    MASS,
    MODULUS,
    PRESSURE,
    RATIO,
    ROLL_RATE,
    read_number,
    read_quantity,
    unit_size,
)

PINT = pint.UnitRegistry()

# Our unit, pint's words for it, and the SI unit in pint's words.
UNITS = [
    (LENGTH, "mm", "mm", "m"),
    (LENGTH, "cm", "cm", "m"),
    (LENGTH, "m", "m", "m"),
    (LENGTH, "in", "inch", "m"),
    (LENGTH, "ft", "foot", "m"),
    (MASS, "kg", "kg", "kg"),
    (MASS, "g", "g", "kg"),
    (MASS, "t", "metric_ton", "kg"),
    (MASS, "lb", "pound", "kg"),
    (ANGLE, "deg", "degree", "radian"),
    (FORCE, "kN", "kN", "N"),
    (FORCE, "lbf", "force_pound", "N"),
    (FORCE, "lb", "force_pound", "N"),
    (FORCE, "kgf", "kilogram_force", "N"),
    (PRESSURE, "kPa", "kPa", "Pa"),
    (PRESSURE, "bar", "bar", "Pa"),
    (PRESSURE, "psi", "psi", "Pa"),
    (MODULUS, "GPa", "GPa", "Pa"),
    (FREQUENCY, "Hz", "1/s", "1/s"),
    (LINEAR_RATE, "N/mm", "N/mm", "N/m"),
    (LINEAR_RATE, "kN/m", "kN/m", "N/m"),
    (LINEAR_RATE, "lb/in", "force_pound/inch", "N/m"),
    (LINEAR_RATE, "lbf/in", "force_pound/inch", "N/m"),
    (LINEAR_RATE, "kgf/mm", "kilogram_force/mm", "N/m"),
    (CUBIC_RATE, "N/mm^3", "N/mm**3", "N/m**3"),
    (CUBIC_RATE, "N/mm³", "N/mm**3", "N/m**3"),
    (CUBIC_RATE, "lb/in^3", "force_pound/inch**3", "N/m**3"),
    (ROLL_RATE, "N m/deg", "N*m/degree", "N*m/radian"),
    (ROLL_RATE, "Nm/deg", "N*m/degree", "N*m/radian"),
    (ROLL_RATE, "kN m/rad", "kN*m/radian", "N*m/radian"),
    (ROLL_RATE, "kN·m/deg", "kN*m/degree", "N*m/radian"),
    (ROLL_RATE, "lb ft/deg", "force_pound*foot/degree", "N*m/radian"),
    (ROLL_RATE, "ft-lb/deg", "force_pound*foot/degree", "N*m/radian"),
    (ROLL_RATE, "lb in/rad", "force_pound*inch/radian", "N*m/radian"),
]


@pytest.mark.parametrize(("dimension", "unit", "words", "si"), UNITS)
def test_every_unit_has_the_size_that_pint_gives_it(dimension, unit, words, si):
    expected = PINT.Quantity(1.0, words).to(si).magnitude
    assert read_quantity(f"1 {unit}", dimension).value == pytest.approx(expected, rel=1e-12)
    assert unit_size(unit, dimension) == pytest.approx(expected, rel=1e-12)


@given(
    st.sampled_from(UNITS),
    st.floats(-1e6, 1e6, allow_nan=False).filter(lambda x: x == 0 or abs(x) > 1e-6),
    st.sampled_from(["", " ", "  "]),
)
def test_any_decimal_number_agrees_with_pint(entry, number, gap):
    dimension, unit, words, si = entry
    expected = PINT.Quantity(number, words).to(si).magnitude
    assert read_quantity(f"{number!r}{gap}{unit}", dimension).value == pytest.approx(expected, rel=1e-12)


@given(st.integers(0, 500), st.integers(1, 15), st.sampled_from([2, 4, 8, 16, 32]))
def test_mixed_fractions_of_an_inch(whole, top, bottom):
    expected = PINT.Quantity(whole + top / bottom, "inch").to("m").magnitude
    for text in (f"{whole} {top}/{bottom} in", f"{whole}-{top}/{bottom}in", f'{whole} {top}/{bottom}"'):
        assert read_quantity(text, LENGTH).value == pytest.approx(expected, rel=1e-12)


@given(st.integers(0, 30), st.integers(0, 11), st.integers(0, 7))
def test_feet_and_inches(feet, inches, eighths):
    expected = PINT.Quantity(12 * feet + inches + eighths / 8, "inch").to("m").magnitude
    for text in (
        f"{feet} ft {inches} {eighths}/8 in",
        f"{feet}' {inches} {eighths}/8\"",
        f"{feet}ft{inches}-{eighths}/8in",
    ):
        assert read_quantity(text, LENGTH).value == pytest.approx(expected, rel=1e-12, abs=1e-15)


@pytest.mark.parametrize(
    ("text", "dimension", "value", "low", "high"),
    [
        ("2150 kg ± 20 kg", MASS, 2150, 2130, 2170),
        ("2150 ± 20 kg", MASS, 2150, 2130, 2170),
        ("2150 kg ± 20", MASS, 2150, 2130, 2170),
        ("2150kg+-20kg", MASS, 2150, 2130, 2170),
        ("2150 kg +/- 2 %", MASS, 2150, 2107, 2193),
        ("1 m ± 5 mm", LENGTH, 1, 0.995, 1.005),
        ("3 1/2 ± 1/8 in", LENGTH, 3.5 * 0.0254, 3.375 * 0.0254, 3.625 * 0.0254),
        ("-12 mm ± 1 mm", LENGTH, -0.012, -0.013, -0.011),
        ("52 % ± 2 %", RATIO, 0.52, 0.50, 0.54),
        ("52 ± 2 %", RATIO, 0.52, 0.50, 0.54),
        ("0.62 ± 0.02", RATIO, 0.62, 0.60, 0.64),
        ("5 to 12 m", LENGTH, 8.5, 5, 12),
        ("500 cm to 12 m", LENGTH, 8.5, 5, 12),
        ("5–12 m", LENGTH, 8.5, 5, 12),
    ],
)
def test_tolerances_and_ranges_are_limits(text, dimension, value, low, high):
    reading = read_quantity(text, dimension)
    assert (reading.value, reading.low, reading.high) == pytest.approx((value, low, high), rel=1e-12)
    assert reading.distribution == "rectangular"


def test_a_plain_quantity_is_exact_and_keeps_its_unit():
    reading = read_quantity(" 17 3/8 in ", LENGTH)
    assert reading.distribution == "exact"
    assert reading.low == reading.value == reading.high
    assert (reading.unit, reading.written) == ("in", "17 3/8 in")
    assert reading.value / reading.unit_size == pytest.approx(17.375)


@given(st.sampled_from(UNITS), st.floats(0.001, 1e4))
def test_the_unit_kept_for_display_can_be_read_again(entry, number):
    dimension, unit, _, _ = entry
    reading = read_quantity(f"{number!r} {unit}", dimension)
    again = read_quantity(f"{reading.value / reading.unit_size!r} {reading.unit}", dimension)
    assert again.value == pytest.approx(reading.value, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "dimension", "why", "works"),
    [
        ("17", LENGTH, "no unit", '"17 mm"'),
        ("1,3 Hz", FREQUENCY, "point", "1.3 instead of 1,3"),
        ("2,150 kg", MASS, "two things", '"2.150 kg" or "2150 kg"'),
        ("30 kg/mm", LINEAR_RATE, "kgf", "N/mm"),
        ("40 kg", LENGTH, "unit of a mass, and a length is needed", "mm"),
        ("10 deg", LENGTH, "unit of an angle", "mm"),
        ("40 N m", ROLL_RATE, "lacks the angle", "N m/deg"),
        ("nan kg", MASS, "finite", "kg"),
        ("inf kg", MASS, "finite", "kg"),
        ("1e999 kg", MASS, "finite", "kg"),
        ("12 mmm", LENGTH, '"mmm" is not a unit, mm is', "mm"),
        ("12 furlongs", LENGTH, '"furlongs" is not a unit', "mm"),
        ("", LENGTH, "nothing", "mm"),
        ("mm", LENGTH, "does not start with a number", "mm"),
        ("± 3 mm", LENGTH, "a number is missing", "mm"),
        ("4 mm ± -3 mm", LENGTH, "not negative", "minus"),
        ("4 mm ± 3 mm ± 2 mm", LENGTH, "more than one tolerance", "mm"),
        ("1 to 2 to 3 mm", LENGTH, "two ends", "5 to 12"),
        ("12 to 5 mm", LENGTH, "lower value to the higher", "exchange"),
        ("5 in 3 ft", LENGTH, "feet and inches", "in"),
        ("5 3 in", LENGTH, "without a unit between", "in"),
        ("3 ft 2 in 1 mm", LENGTH, "too many parts", "in"),
        ("3/0 in", LENGTH, "divided by zero", "17 3/8"),
        ("12 mm^0.5", LENGTH, "is not a unit", "mm"),
        ("12 mm/", LENGTH, "is not a unit", "mm"),
        ("9" * 200 + " mm", LENGTH, "too long", "mm"),
    ],
)
def test_what_is_refused_says_why_and_what_would_work(text, dimension, why, works):
    with pytest.raises(QuantityError) as caught:
        read_quantity(text, dimension)
    assert why in caught.value.why
    assert works in caught.value.works


def test_only_a_ratio_may_be_a_bare_number():
    assert read_number(0.52, RATIO).value == 0.52
    with pytest.raises(QuantityError, match="no unit"):
        read_number(5, LENGTH)
    with pytest.raises(QuantityError, match="finite"):
        read_number(math.nan, RATIO)


@given(st.text(max_size=40), st.sampled_from([LENGTH, MASS, LINEAR_RATE, ROLL_RATE, RATIO]))
def test_any_text_is_read_as_something_finite_or_refused(text, dimension):
    try:
        reading = read_quantity(text, dimension)
    except QuantityError:
        return
    assert math.isfinite(reading.value)
    assert reading.low <= reading.value <= reading.high


@given(st.text(alphabet="0123456789 .,/-+±%e^mkgNinftlbto'\"", max_size=16))
def test_texts_that_look_like_quantities_are_read_or_refused(text):
    try:
        reading = read_quantity(text, LENGTH)
    except QuantityError:
        return
    assert math.isfinite(reading.value)


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("17¾ in", 17.75),
        ("17 ¾ in", 17.75),
        ("½ in", 0.5),
        ("22⅝in", 22.625),
        ("22⁷⁄₁₆ in", 22.4375),
        ("17 3⁄4 in", 17.75),
        ("1'-5 15/16\"", 17.9375),  # 12 + 5 15/16
        ("1’-5¾”", 17.75),
        ("5 ft - 3 1/2 in", 63.5),
        ("17¾ in ± ⅛ in", 17.75),
    ],
)
def test_fractions_of_one_letter_and_feet_with_a_dash(text, inches):
    assert read_quantity(text, LENGTH).value == pytest.approx(inches * 0.0254)


def test_a_square_unit_is_no_fraction():
    assert read_quantity("3 N/mm³", CUBIC_RATE).value == pytest.approx(3e9)
