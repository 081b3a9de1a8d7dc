"""Text of derivations: whole, narrow enough, and with the numbers put in."""

import numpy as np
import pytest

from articulate import closed_forms
from articulate.closed_forms.rendering import Number, render
from tests.closed_forms.derived import derived

SIDE_SLOPE = r"""Tipping of a rigid vehicle on a side slope
==========================================

Premises
 1. A rigid vehicle of weight W, its centre of gravity h over the ground and
    half a track from either line of contacts, stands across a slope of angle
    beta.
 2. Forces square to and along the slope, and the moment about the lower
    contacts, balance.
 3. It tips where the upper wheels carry nothing.

Derivation
 1. Square to the slope:

    N_l + N_u = W*cos(beta)

 2. Moment about the lower contacts:

                             W*t*cos(beta)
    -N_u*t - W*h*sin(beta) + ------------- = 0
                                   2

 3. Solve for the load of the upper wheels:

            W*h*sin(beta)   W*cos(beta)
    N_u = - ------------- + -----------
                  t              2

 4. It is zero at this tangent of the slope:

                 t
    tan(beta) = ---
                2*h

Result
  tipping angle [rad]

                 / t \
    beta_t = atan|---|
                 \2*h/

  static stability factor [-]

           t
    SSF = ---
          2*h

Symbols
  t     track [m]
  h     height of the centre of gravity over the ground [m]
  W     weight of the vehicle [N]
  beta  angle of the side slope [rad]

With numbers
  h = 26.33 in = 0.66878 m
  t = 59.1 in = 1.5011 m

  tipping angle
    beta_t = atan(1.5011/(2*0.66878))
        = 0.842946 rad

  static stability factor
    SSF = 1.5011/(2*0.66878)
        = 1.12227

Valid:  Rigid vehicle, weight centred, equal tracks, friction coefficient above
        t/(2 h).
Source: Moment balance; static stability factor T/2h of the US rollover rating
        (not checked against a source).
"""


@pytest.mark.parametrize("name", closed_forms.derivation_names())
@pytest.mark.parametrize("unicode", [True, False])
@pytest.mark.parametrize("width", [80, 60])
def test_fits_the_terminal_and_leaves_nothing_out(name, unicode, width):
    derivation = derived(name)
    numbers = {need: Number(0.1 + 0.05 * i, f"{i} units") for i, need in enumerate(derivation.needs)}
    text = render(derivation, numbers, width=width, unicode=unicode)
    lines = text.splitlines()
    assert max(map(len, lines)) <= width
    assert all(line == line.rstrip() for line in lines)
    assert "True" not in text
    assert text.isascii() or unicode
    words = " ".join(text.split())
    for part in (derivation.title, derivation.validity, derivation.source, *derivation.premises):
        assert part in words
    for result in derivation.results:
        assert f"{result.label} [{result.unit}]" in words


def test_numbers_are_put_in_and_the_value_has_its_unit():
    derivation = derived("mark-height")
    numbers = {
        "h": Number(0.5699125, "22 7/16 in"),
        "L": Number(2.85, "2850 mm"),
        "g": Number(float(np.radians(20.0)), "20 deg"),
    }
    text = render(derivation, numbers)
    for line in (
        "  h = 22 7/16 in = 0.569913 m",
        "  g = 20 deg = 0.349066 rad",
        "    score = 1000*0.569913/(2.85*sin(0.349066))",
        "        = 584.671",
        "        = 1.66631 m",
    ):
        assert line in text.splitlines()
    assert "not given" not in text


def test_formulas_without_their_numbers_are_left_open():
    derivation = derived("mark-height")
    text = render(derivation, {"h": Number(0.4, "0.4 m"), "g": Number(0.3, "0.3 rad")})
    assert "= 1.35355 m" in text
    assert "not given: L" in text
    assert "score = 1000*0.4" not in text


def test_no_value_is_said():
    derivation = derived("travel-limit")
    numbers = {name: Number(value, str(value)) for name, value in (("B", 1.0), ("D", 1.0), ("b_b", 0.4), ("b_d", 0.4))}
    assert "no finite real value" in " ".join(render(derivation, numbers).split())


def test_the_whole_text_of_one_derivation():
    # Track and height of the NHTSA rollover ratings, model year 2004, row 1, seen: 59.1 in, 26.33 in, 1.123.
    numbers = {"t": Number(1.5011, "59.1 in"), "h": Number(0.66878, "26.33 in")}
    assert render(derived("side-slope"), numbers, unicode=False) == SIDE_SLOPE


def test_no_numbers_no_heading():
    assert "With numbers" not in render(derived("side-slope"))
