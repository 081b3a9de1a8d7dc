"""Every derivation is proved, a wrong formula is found out, and the numeric functions are the derived ones."""

from dataclasses import replace

import numpy as np
import pytest
import sympy

from articulate import closed_forms
from articulate.closed_forms import (
    diagonal_lift,
    hub_path,
    mark,
    rates,
    roll_gradient,
    roll_stiffness,
    side_slope,
    small_angle,
    spring_base,
    three_wheels,
    travel_limit,
    weighing,
)
from articulate.closed_forms.derivation import OutsideValidityError, UnprovedError, only, solve_linear
from tests.closed_forms.derived import derived

NAMES = closed_forms.derivation_names()
SAMPLES = 40


def formula(name, label):
    """What sympy derived (not what is stated) as a function of numbers by symbol name."""
    result = next(item for item in derived(name).results if item.label == label)
    arguments = sorted(result.derived.free_symbols, key=lambda symbol: symbol.name)
    function = sympy.lambdify(arguments, result.derived, "numpy")
    return lambda **values: function(*(values[symbol.name] for symbol in arguments))


def samples(**ranges):
    """Random values by name, each between its two bounds."""
    rng = np.random.default_rng(20)
    return {name: rng.uniform(low, high, SAMPLES) for name, (low, high) in ranges.items()}


@pytest.mark.parametrize("name", NAMES)
def test_every_result_follows_from_its_premises(name):
    derived(name).verify()


@pytest.mark.parametrize("name", NAMES)
def test_a_wrong_formula_is_found_out(name):
    derivation = derived(name)
    right = derivation.results[-1]
    for result in derivation.results:
        wrong = replace(result, stated=sympy.Eq(result.stated.lhs, result.stated.rhs * sympy.Rational(1001, 1000)))
        results = (right, wrong) if name == "mark-height" else (wrong,)  # it goes on after one that is right
        with pytest.raises(UnprovedError, match="does not follow"):
            replace(derivation, results=results).verify()


def test_a_dropped_gravity_term_is_found_out():
    # H without the tyre's share: 2 P (h - h_w - p) alone, the usual guess for a solid axle.
    derivation = derived("roll-stiffness-lift")
    result = next(r for r in derivation.results if r.label.startswith("overturning rate of a solid"))
    p, h, h_w, load = (next(s for s in derivation.symbols if s.name == n) for n in ("p", "h", "h_w", "P"))
    guess = replace(result, stated=sympy.Eq(result.stated.lhs, 2 * load * (h - h_w - p)))
    assert guess.difference() != 0
    # It is right where the tyres are rigid.
    tyres = next(s for s in derivation.symbols if s.name == "K_t")
    assert sympy.simplify(sympy.limit(result.derived, tyres, sympy.oo) - guess.stated.rhs) == 0


@pytest.mark.parametrize("name", NAMES)
def test_every_symbol_is_explained_once(name):
    derivation = derived(name)
    explained = [symbol.name for symbol in derivation.symbols]
    assert len(set(explained)) == len(explained)
    for result in derivation.results:
        assert result.stated.rhs.free_symbols <= set(derivation.symbols)
        assert result.unit
    assert derivation.name == name
    assert derivation.result is derivation.results[0].stated
    assert set(derivation.needs) <= set(explained)
    assert derivation.premises
    assert derivation.steps
    assert derivation.validity
    assert derivation.source
    assert not any(formula.has(sympy.true, sympy.false) for formula in (step.formula for step in derivation.steps))


@pytest.mark.parametrize(
    ("typed", "suggestion"), [("mark-hight", "mark-height"), ("roll-stifness", "roll-stiffness-lift")]
)
def test_a_typo_gets_the_nearest_name(typed, suggestion):
    with pytest.raises(closed_forms.UnknownDerivationError, match=f"did you mean '{suggestion}'") as caught:
        closed_forms.derive(typed)
    assert caught.value.suggestion == suggestion
    assert isinstance(caught.value, ValueError)


def test_a_strange_name_gets_the_list():
    with pytest.raises(closed_forms.UnknownDerivationError, match="known are: mark-height") as caught:
        closed_forms.derive("xyz")
    assert caught.value.suggestion is None


def test_names_are_taken_with_capitals_and_underscores():
    assert closed_forms.derive("Side_Slope").name == "side-slope"


def test_value_outside_the_formula_is_an_error():
    result = next(r for r in derived("travel-limit").results if r.label == "angle of a solid axle at its stops")
    assert result.value({"B": 0.1, "D": 0.1, "b_b": 0.2, "b_d": 0.3}) == pytest.approx(np.arcsin(0.4))
    with pytest.raises(OutsideValidityError):
        result.value({"B": 0.3, "D": 0.3, "b_b": 0.2, "b_d": 0.3})
    with pytest.raises(KeyError):
        result.value({"B": 0.3})


def test_the_solving_helpers_refuse_what_they_cannot_solve():
    x, y = sympy.symbols("x y")
    with pytest.raises(UnprovedError, match="one solution"):
        only(sympy.solve(x**2 - 1, x))
    with pytest.raises(UnprovedError, match="open"):
        solve_linear([x + y, 2 * x + 2 * y], (x, y))
    with pytest.raises(UnprovedError, match="not linear"):
        solve_linear([x**2 - y, y], (x, y))


# The numeric functions against what sympy derived


def test_mark():
    v = samples(h=(0.1, 1.0), L=(2.0, 3.5), g=(0.1, 0.6))
    score = mark.score_from_mark(v["h"], v["L"], v["g"])
    np.testing.assert_allclose(score, formula("mark-height", "score")(**v), rtol=1e-13)
    np.testing.assert_allclose(mark.climb_from_mark(v["h"], v["g"]), formula("mark-height", "climb")(**v), rtol=1e-13)
    slopes = mark.score_sensitivities(v["h"], v["L"], v["g"])
    for found, label in (
        (slopes.mark_height, "score per mark height"),
        (slopes.wheelbase, "score per wheelbase"),
        (slopes.ramp_angle, "score per ramp angle"),
    ):
        np.testing.assert_allclose(found, formula("mark-height", label)(**v), rtol=1e-12)


def test_hub_path():
    v = samples(R=(0.3, 0.5), s=(0.2, 2.0), g=(0.05, 0.6), d=(0.0, 0.04))
    rise = hub_path.hub_rise(v["s"], v["R"], v["g"])
    np.testing.assert_allclose(rise, formula("hub-path", "hub rise")(**v), rtol=1e-12)
    np.testing.assert_allclose(hub_path.climb_from_hub_rise(rise, v["R"], v["g"]), v["s"], rtol=1e-12)
    np.testing.assert_allclose(
        hub_path.first_touch_before_toe(v["R"], v["g"]),
        formula("hub-path", "first touch, before the toe")(**v),
        rtol=1e-11,
    )
    soft = formula("hub-path", "first touch, slope coordinate of a hub whose tyre is pressed flat by d")(**v)
    np.testing.assert_allclose(hub_path.first_touch_climb(v["R"], v["d"], v["g"]), soft, rtol=1e-9, atol=1e-12)
    np.testing.assert_allclose(
        hub_path.plumb_line_error(v["R"], v["g"]),
        formula("hub-path", "plumb-line error along the slope")(**v),
        rtol=1e-12,
    )


def test_diagonal_lift():
    v = samples(W=(5e3, 3e4), k=(1e4, 1e5), z=(0.0, 0.2), a=(1.0, 2.0), b=(0.6, 1.0), x=(-0.3, 0.3), y=(-0.1, 0.1))
    loads = diagonal_lift.lifted_wheel_loads(v["W"], v["k"], v["z"])
    lifted = formula("diagonal-lift", "load of the lifted wheel (and of the one diagonally opposite)")(**v)
    behind = formula("diagonal-lift", "load of the wheel behind it (and of the other front wheel)")(**v)
    np.testing.assert_allclose(loads, np.stack([lifted, behind, behind, lifted], axis=-1), rtol=1e-12, atol=1e-9)
    np.testing.assert_allclose(
        diagonal_lift.unloading_lift(v["W"], v["k"]),
        formula("diagonal-lift", "lift that unloads the other diagonal, weight centred")(**v),
        rtol=1e-13,
    )
    level = formula("diagonal-lift", "load of the front-left wheel, weight off centre and nothing lifted")(**v)
    plate = diagonal_lift.plate_loads(v["W"], v["x"] / v["a"], v["y"] / v["b"])
    np.testing.assert_allclose(plate[:, 0], level, rtol=1e-12)
    np.testing.assert_allclose(plate.sum(axis=1), v["W"], rtol=1e-12)


def test_side_slope():
    v = samples(t=(1.2, 2.0), h=(0.4, 1.2))
    np.testing.assert_allclose(
        side_slope.tipping_angle(v["t"], v["h"]), formula("side-slope", "tipping angle")(**v), rtol=1e-13
    )
    np.testing.assert_allclose(
        side_slope.static_stability_factor(v["t"], v["h"]),
        formula("side-slope", "static stability factor")(**v),
        rtol=1e-13,
    )


def test_spring_base():
    v = samples(k=(1e4, 1e5), b=(0.3, 0.7), t=(1.2, 2.0), k_b=(1e3, 3e4), k_end=(1e3, 1e5), w=(0.6, 1.2))
    cases = (
        ("roll stiffness of the springs", spring_base.solid_axle_roll_stiffness(v["k"], v["b"])),
        (
            "spring at each wheel with the same roll stiffness",
            spring_base.roll_rate_at_wheel(v["k"], v["b"], v["t"]),
        ),
        ("roll stiffness of a bar rated at the wheels", spring_base.bar_roll_stiffness(v["k_b"], v["t"])),
        (
            "roll stiffness of a bar rated at its own ends",
            spring_base.bar_roll_stiffness_from_ends(v["k_end"], v["w"]),
        ),
    )
    for label, found in cases:
        np.testing.assert_allclose(found, formula("spring-base", label)(**v), rtol=1e-13)
    at_wheels = spring_base.bar_rate_at_wheels(v["k_end"], v["w"], v["t"])
    np.testing.assert_allclose(spring_base.bar_roll_stiffness(at_wheels, v["t"]), cases[3][1], rtol=1e-13)


def test_rates():
    v = samples(
        k_1=(1e4, 1e5), k_2=(1e5, 4e5), k=(1e4, 1e5), m=(0.4, 1.0), G=(7e10, 8.5e10), E=(1.9e11, 2.1e11),
        d=(0.01, 0.03), D=(0.08, 0.15), n=(4.0, 10.0), l=(0.8, 1.5), a=(0.3, 0.5), A=(0.2, 0.3), B=(0.8, 1.2),
        C=(0.2, 0.35), b=(0.05, 0.09), t=(0.006, 0.012), L=(0.5, 0.8), n_f=(1.0, 3.0), n_g=(0.0, 8.0),
    )  # fmt: skip
    cases = {
        "two springs in series": rates.series_rate(v["k_1"], v["k_2"]),
        "wheel rate of a spring": rates.wheel_rate(v["k"], v["m"]),
        "wheel rate of a torsion bar": rates.torsion_bar_wheel_rate(v["G"], v["d"], v["l"], v["a"]),
        "coil spring": rates.coil_rate(v["G"], v["d"], v["D"], v["n"]),
        "turns of a coil spring": rates.coil_turns(v["G"], v["d"], v["D"], v["k"]),
        "leaf pack, at one eye": rates.leaf_pack_rate(
            youngs_modulus=v["E"], width=v["b"], thickness=v["t"], half_length=v["L"], full_leaves=v["n_f"],
            graduated_leaves=v["n_g"],
        ),
        "anti-roll bar, one end relative to the other": rates.anti_roll_bar_rate(
            shear_modulus=v["G"], youngs_modulus=v["E"], diameter=v["d"], arm=v["A"], centre_length=v["B"],
            arm_length=v["C"],
        ),
    }  # fmt: skip
    assert set(cases) == {result.label for result in derived("rates").results}
    for label, found in cases.items():
        np.testing.assert_allclose(found, formula("rates", label)(**v), rtol=1e-12)


def test_ride_and_roll():
    v = samples(
        m=(500.0, 2500.0), k=(1e4, 1e5), g_n=(9.78, 9.83), delta=(0.05, 0.3), t=(1.2, 2.0), H=(0.1, 0.6), K=(3e4, 9e4)
    )
    cases = {
        "natural frequency": rates.frequency_from_deflection(v["delta"], v["g_n"]),
        "roll stiffness of springs at the wheels": rates.roll_stiffness_at_track(v["k"], v["t"]),
        "roll gradient": rates.roll_gradient(v["m"], v["H"], v["K"], v["g_n"]),
    }
    assert set(cases) == {result.label for result in derived("ride-and-roll").results}
    for label, found in cases.items():
        np.testing.assert_allclose(found, formula("ride-and-roll", label)(**v), rtol=1e-12)


def test_weighing():
    v = samples(W=(1e4, 3e4), L=(2.2, 3.3), a=(0.8, 1.6), z=(0.2, 0.9), R=(0.3, 0.45), dF=(100.0, 900.0))
    loads = weighing.axle_loads(v["W"], v["a"], v["L"])
    np.testing.assert_allclose(loads[:, 0], formula("weighing", "front axle load, level")(**v), rtol=1e-12)
    np.testing.assert_allclose(loads[:, 1], formula("weighing", "rear axle load, level")(**v), rtol=1e-12)
    np.testing.assert_allclose(
        weighing.lift_angle_tangent(v["L"], v["z"]), formula("weighing", "tangent of the lift angle")(**v), rtol=1e-12
    )
    np.testing.assert_allclose(
        weighing.centre_height_from_lift(v["W"], v["L"], v["z"], v["dF"], v["R"]),
        formula("weighing", "height of the centre of gravity")(**v),
        rtol=1e-12,
    )


def axle_samples():
    return samples(
        t=(1.3, 1.8), N=(3e3, 8e3), w=(300.0, 1500.0), h=(0.5, 1.1), R=(0.35, 0.5), r=(0.1, 0.16), k_t=(1.5e5, 4e5),
        S=(0.4, 1.5), p=(-0.1, 0.15), k=(2e4, 6e4), b=(0.4, 0.6), k_b=(0.0, 2e4),
        k_a=(0.0, 2e4),
    )  # fmt: skip


@pytest.mark.parametrize("solid", [False, True])
def test_axle_roll(solid):
    v = axle_samples()
    found = roll_stiffness.axle_roll(
        track=v["t"], axle_load=2 * v["N"], unsprung_weight=2 * v["w"], centre_height=v["h"], tyre_radius=v["R"],
        tyre_section_radius=v["r"], tyre_stiffness=v["k_t"], solid=solid, swing_arm=v["S"], pivot_height=v["p"],
        spring_rate=v["k"], spring_half_base=v["b"], bar_rate=v["k_b"], auxiliary_rate=v["k_a"],
    )  # fmt: skip
    springs = 2 * v["k"] * v["b"] ** 2 if solid else v["k"] * v["t"] ** 2 / 2
    symbols = {
        "K_s": springs + (v["k_b"] + v["k_a"]) * v["t"] ** 2, "K_t": v["k_t"] * v["t"] ** 2 / 2,
        "G": 2 * v["N"] * (v["R"] - v["r"]), "sigma": v["t"] / (2 * v["S"]), "P": v["N"] - v["w"],
        "p": v["p"], "h": v["h"], "h_w": v["R"] - v["N"] / v["k_t"],
    }  # fmt: skip
    kind = "a solid axle" if solid else "an axle"
    name = "roll-stiffness-lift"
    for field, label in (
        ("coupling", f"roll couple of {kind} per body roll"),
        ("own", f"roll couple of {kind} per ground roll"),
        ("overturning", f"overturning rate of {kind}'s share of the sprung weight, 2 P H"),
    ):
        expected = formula(name, label)(**symbols)
        np.testing.assert_allclose(getattr(found, field), expected, rtol=1e-9, atol=1e-6)
    np.testing.assert_allclose(found.arm * 2 * (v["N"] - v["w"]), found.overturning, rtol=1e-12)


@pytest.mark.parametrize("solid", [(False, True), (True, False), (True, True)])
@pytest.mark.parametrize("linked", [False, True])
def test_roll_gradient(solid, linked):
    shared = {"R": (0.35, 0.5), "r": (0.1, 0.16), "k_t": (1.5e5, 4e5), "b": (0.4, 0.6), "k_a": (0.0, 2e4)}
    front = {"t": (1.3, 1.6), "W_s": (6e3, 9e3), "W_u": (600, 2e3), "S": (0.4, 1.5), "p": (-0.1, 0.15), "k": (2e4, 6e4)}
    rear = {"t": (1.4, 1.8), "W_s": (5e3, 9e3), "W_u": (900, 3e3), "S": (0.5, 1.7), "p": (0.0, 0.2), "k": (3e4, 7e4)}
    axles = [samples(**front, **shared, k_b=(0.0, 2e4)), samples(**rear, **shared, k_b=(0.0, 1e4))]
    h, k_x = np.linspace(0.6, 1.1, SAMPLES), np.linspace(1e3, 3e4, SAMPLES)
    symbols = {"k_x": k_x}
    for v, is_solid, at in zip(axles, solid, ("f", "r"), strict=True):
        springs = 2 * v["k"] * v["b"] ** 2 if is_solid else v["k"] * v["t"] ** 2 / 2
        numbers = {
            "K_s": springs + (v["k_b"] + v["k_a"]) * v["t"] ** 2, "K_t": v["k_t"] * v["t"] ** 2 / 2, "h": h,
            "G": (v["W_s"] + v["W_u"]) * (v["R"] - v["r"]), "sigma": 1.0 if is_solid else v["t"] / (2 * v["S"]),
            "z": v["R"] - (v["W_s"] + v["W_u"]) / (2 * v["k_t"]), **{n: v[n] for n in ("p", "W_s", "W_u")},
        }  # fmt: skip
        for name, label in (
            ("S", "stiffness of an axle's hub line against the body"),
            ("X", "coupling of body and hub line"),
            ("D", "stiffness of the body on an axle whose suspension is locked"),
            ("m", "moment of 1 g on the body"),
            ("b", "moment of 1 g on the hub line"),
        ):
            symbols[f"{name}_{at}"] = formula("roll-gradient", label)(**numbers)
        symbols[f"t_{at}"] = v["t"]

    def both(name):
        return np.stack([v[name] for v in axles], axis=-1)

    found = roll_gradient.roll_gradient(
        track=both("t"), axle_load=both("W_s") + both("W_u"), unsprung_weight=both("W_u"), centre_height=h,
        tyre_radius=both("R"), tyre_section_radius=both("r"), tyre_stiffness=both("k_t"), solid=np.array(solid),
        swing_arm=both("S"), pivot_height=both("p"), spring_rate=both("k"), spring_half_base=both("b"),
        bar_rate=both("k_b"), auxiliary_rate=both("k_a"), cross_link_rate=k_x if linked else 0.0,
    )  # fmt: skip
    label = "roll gradient with a cross link" if linked else "roll gradient, no cross link"
    np.testing.assert_allclose(found, formula("roll-gradient", label)(**symbols), rtol=1e-9)


def test_a_vehicle_that_does_not_stand_has_no_roll_gradient():
    found = roll_gradient.roll_gradient(
        track=[1.5, 1.5], axle_load=[1e4, 1e4], unsprung_weight=[1e3, 1e3], centre_height=[0.8, 2.5],
        tyre_radius=0.4, tyre_section_radius=0.1, tyre_stiffness=2e5, solid=True, swing_arm=1.0, pivot_height=0.0,
        spring_rate=3e4, spring_half_base=0.4, bar_rate=0.0,
    )  # fmt: skip
    assert np.isfinite(found).tolist() == [True, False]


def test_rigid_disc_tyres_give_the_geometric_roll_centre():
    v = axle_samples()
    found = roll_stiffness.axle_roll(
        track=v["t"], axle_load=2 * v["N"], unsprung_weight=0.0, centre_height=v["h"], tyre_radius=v["R"],
        tyre_section_radius=0.0, tyre_stiffness=np.inf, solid=False, swing_arm=v["S"], pivot_height=v["p"],
        spring_rate=v["k"], spring_half_base=0.5, bar_rate=0.0,
    )  # fmt: skip
    roll_centre = (v["R"] + v["p"]) * v["t"] / (2 * v["S"])
    np.testing.assert_allclose(found.arm, v["h"] - roll_centre, rtol=1e-12, atol=1e-14)


def test_unloading_lifts():
    v = samples(
        K_f=(2e4, 5e4), K_r=(2e4, 5e4), A_f=(2e4, 5e4), C=(1e3, 1e4), t_f=(1.3, 1.8), t_r=(1.3, 1.8), F_f=(8e3, 1.4e4),
        F_r=(8e3, 1.4e4),
    )  # fmt: skip
    track, load = np.stack([v["t_f"], v["t_r"]], axis=-1), np.stack([v["F_f"], v["F_r"]], axis=-1)
    stiffness = np.stack([v["K_f"], v["K_r"]], axis=-1)
    name = "roll-stiffness-lift"
    shares = np.stack([0.4 * v["C"], 0.6 * v["C"]], axis=-1)
    own = np.stack([v["A_f"], v["K_r"]], axis=-1)
    found = roll_stiffness.unloading_lifts(
        track, load, roll_stiffness.AxleRoll(coupling=stiffness, own=own, overturning=shares, arm=shares)
    )
    np.testing.assert_allclose(found.rear_left, formula(name, "lift that unloads the rear-left wheel")(**v), rtol=1e-11)
    np.testing.assert_allclose(
        found.front_right, formula(name, "lift that unloads the front-right wheel")(**v), rtol=1e-9
    )
    series = roll_stiffness.unloading_lifts_in_series_form(track, load, stiffness, v["C"])
    np.testing.assert_allclose(series.front_right, formula(name, "the same where A_f = K_f")(**v), rtol=1e-10)
    np.testing.assert_allclose(series.rear_left, found.rear_left, rtol=1e-12)


def test_a_vehicle_without_an_upright_state_is_refused():
    with pytest.raises(ValueError, match="overturning"):
        roll_stiffness.unloading_lifts_in_series_form([1.5, 1.5], [1e4, 1e4], [1e4, 1e4], 2e4)


def test_a_wheel_that_never_unloads_does_not_decide():
    lifts = roll_stiffness.unloading_lifts_in_series_form([1.5, 1.5], [1e4, 1e4], [3e4, 1e4], 2e4)
    assert lifts.front_right < 0.0
    assert lifts.first == lifts.rear_left


def test_pitch_transfer():
    v = samples(
        z=(0.0, 0.1), g=(0.0, 0.1), L=(2.3, 3.2), h=(0.6, 1.1), N_f=(3e3, 8e3), N_r=(3e3, 8e3), P_f=(2e3, 3e3),
        P_r=(2e3, 3e3), R_f=(0.35, 0.5), R_r=(0.35, 0.5), k_tf=(1.5e5, 4e5), k_tr=(1.5e5, 4e5), k_sf=(2e4, 6e4),
        rho_f=(0.2, 0.35), rho_r=(0.2, 0.35), S_f=(0.4, 1.5), S_r=(0.4, 1.5), k_f=(4e4, 9e4),
        k_r=(4e4, 9e4), p_f=(0, 1),
        p_r=(0, 1),
    )  # fmt: skip
    v["lambda"] = np.linspace(0.0, 1.0, SAMPLES)
    v["h_wf"], v["h_wr"] = v["R_f"] - v["N_f"] / v["k_tf"], v["R_r"] - v["N_r"] / v["k_tr"]
    name = "pitch-transfer"

    def both(front, rear):
        return np.stack([v[front], v[rear]], axis=-1)

    zero = np.zeros((SAMPLES, 2))
    roll = roll_stiffness.AxleRoll(coupling=zero + 3e4, own=zero + 3e4, overturning=zero, arm=zero)
    found = small_angle.load_rates(
        wheelbase=v["L"], track=zero + 1.5, axle_load=2 * both("N_f", "N_r"),
        unsprung_weight=2 * (both("N_f", "N_r") - both("P_f", "P_r")), centre_height=v["h"],
        tyre_radius=both("R_f", "R_r"), tyre_stiffness=both("k_tf", "k_tr"), ride_rate=both("k_f", "k_r"),
        holding_share=v["lambda"], roll=roll,
    )  # fmt: skip
    loads = found.lift * v["z"][:, None] + found.ramp_angle * v["g"][:, None]
    expected = formula(name, "change of the front axle load; the rear's is the opposite")(**v)
    np.testing.assert_allclose(loads[:, :2].sum(axis=1), expected, rtol=1e-8)
    np.testing.assert_allclose(loads[:, 2:].sum(axis=1), -expected, rtol=1e-8)
    ride = small_angle.axle_ride_rate(
        axle_load=2 * v["N_f"], tyre_radius=v["rho_f"] + 0.1, tyre_section_radius=0.1, tyre_stiffness=v["k_tf"],
        solid=False, swing_arm=v["S_f"], spring_rate=v["k_sf"],
    )  # fmt: skip
    np.testing.assert_allclose(ride, formula(name, "ride rate of an axle")(**v), rtol=1e-10)


def test_three_wheels():
    v = samples(
        W=(1e4, 3e4), g=(0.0, 0.5), x_g=(-1.6, -1.0), y_g=(-0.2, 0.2), x_1=(0.2, 0.9), y_1=(0.6, 0.9), z_1=(0.1, 0.5),
        x_2=(0.2, 0.6), y_2=(-0.9, -0.6), x_3=(-2.6, -2.2), y_3=(-0.9, 0.9),
    )  # fmt: skip
    v["lambda"] = np.linspace(0.0, 1.0, SAMPLES)
    name = "three-wheels"
    v["kappa"] = formula(name, "shift of the ramp contact per its height")(**v)
    np.testing.assert_allclose(three_wheels.ground_level_shift(v["g"], v["lambda"]), v["kappa"], rtol=1e-12)
    zero = np.zeros(SAMPLES)
    contacts = np.array([[v["x_1"], v["y_1"], v["z_1"]], [v["x_2"], v["y_2"], zero], [v["x_3"], v["y_3"], zero]])
    found = three_wheels.three_wheel_loads(
        v["W"],
        np.stack([v["x_g"], v["y_g"]], axis=-1),
        np.moveaxis(contacts, -1, 0),
        np.stack([v["g"], zero, zero], axis=-1),
        v["lambda"][:, None],
    )
    v["V_1"] = formula(name, "vertical load of the ramp wheel")(**v)
    np.testing.assert_allclose(found.vertical[:, 0], v["V_1"], rtol=1e-10)
    np.testing.assert_allclose(found.normal[:, 0], formula(name, "normal load of the ramp wheel")(**v), rtol=1e-10)
    np.testing.assert_allclose(found.normal[:, 1], formula(name, "load of wheel 2")(**v), rtol=1e-9, atol=1e-6)
    np.testing.assert_allclose(found.normal[:, 2], formula(name, "load of wheel 3")(**v), rtol=1e-9, atol=1e-6)
    np.testing.assert_allclose(found.vertical.sum(axis=1), v["W"], rtol=1e-12)


def test_travel_limit():
    v = samples(
        rise=(0.1, 0.8), R=(0.3, 0.5), g=(0.1, 0.6), t_f=(1.3, 1.8), alpha_f=(0.02, 0.4), alpha_r=(0.02, 0.4),
        theta=(-0.2, 0.0), B=(0.03, 0.12), D=(0.03, 0.15), b_b=(0.3, 0.5), b_d=(0.3, 0.6),
    )  # fmt: skip
    angles = v["t_f"], v["alpha_f"], v["alpha_r"]
    cases = {
        "climb": travel_limit.travel_limited_climb(v["rise"], v["R"], v["g"]),
        "rise of the climbing hub, solid front axle": travel_limit.articulated_rise(*angles, True, v["theta"]),
        "rise of the climbing hub, independent front axle": travel_limit.articulated_rise(*angles, False, v["theta"]),
        "angle of a solid axle at its stops": travel_limit.solid_axle_limit_angle(v["B"], v["D"], v["b_b"], v["b_d"]),
        "angle of an independent axle at its stops": travel_limit.independent_axle_limit_angle(
            v["B"], v["D"], v["t_f"]
        ),
    }
    assert set(cases) == {result.label for result in derived("travel-limit").results}
    for label, found in cases.items():
        np.testing.assert_allclose(found, formula("travel-limit", label)(**v), rtol=1e-11)
