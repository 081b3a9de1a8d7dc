"""Two axles in roll: roll couples of independent and solid axles, and the lifts that unload a wheel."""

from __future__ import annotations

from dataclasses import dataclass

import sympy
from sympy import Eq, Matrix, Rational, cos, sin, symbols

from articulate.closed_forms.derivation import Derivation, Line, Proved, UnprovedError, named, only, solve_linear

HALF = Rational(1, 2)

# Geometry, loads and rates of one axle, per wheel.
track, swing, base, section = symbols("t S b rho", positive=True)  # rho = R - r
pivot = sympy.Symbol("p", real=True)
hub, centre = symbols("h_w h", positive=True)
load, spring_load = symbols("N P", positive=True)
rate, bar, tyre = symbols("k k_b k_t", positive=True)
auxiliary, auxiliary_cubic = symbols("k_a k_a3", positive=True)

# Body roll, hub-line roll, ground roll and the coordinates that drop out: heave and parallel travel.
body, hub_line, ground = symbols("phi chi gamma", real=True)
heave, parallel, turn = symbols("zeta s q", real=True)

# Shorthand of the results.
sigma, springs, tyres, rolling = symbols("sigma K_s K_t G", positive=True)


@dataclass(frozen=True)
class _Wheel:
    """One wheel: hub in the body's frame, lean against the body, and +1 for the left one."""

    y: sympy.Expr
    z: sympy.Expr
    lean: sympy.Expr
    side: int


def _twist_energy(twist: sympy.Expr) -> sympy.Expr:
    """Bar and auxiliary roll stiffness, twist = u_left - u_right at the hubs."""
    return HALF * (bar + auxiliary) * twist**2 + auxiliary_cubic * twist**4 / 4


def _tyre_energy(wheel: _Wheel) -> sympy.Expr:
    """k_t d^2/2 of a torus on level ground that is lifted by +-(t/2) gamma."""
    height = heave + wheel.y * sin(body) + wheel.z * cos(body)
    crown = section * (cos(body + wheel.lean) - 1)
    penetration = load / tyre + crown - (height - hub) + wheel.side * track / 2 * ground
    return HALF * tyre * penetration**2


def independent_energy() -> sympy.Expr:
    """Potential energy of an axle of two swing arms and its share 2 P of the sprung weight, exact."""
    energy = 2 * spring_load * (heave + centre * cos(body))
    travels = []
    for side in (1, -1):
        arm = parallel + side * turn  # angle of the arm towards bump
        travel = swing * sin(arm) + pivot * (1 - cos(arm))
        outward = track / 2 + pivot * sin(arm) + swing * (cos(arm) - 1)
        wheel = _Wheel(y=side * outward, z=hub + travel, lean=side * arm, side=side)
        height = heave + wheel.y * sin(body) + wheel.z * cos(body)
        energy += spring_load * travel + HALF * rate * travel**2 + (load - spring_load) * height
        energy += _tyre_energy(wheel)
        travels.append(travel)
    return energy + _twist_energy(travels[0] - travels[1])


def solid_energy() -> sympy.Expr:
    """Potential energy of a solid axle and its share 2 P of the sprung weight, exact."""
    energy = 2 * spring_load * (heave + centre * cos(body))
    middle_y, middle_z = pivot * sin(turn), hub + parallel + pivot * (1 - cos(turn))
    energy += 2 * (load - spring_load) * (heave + middle_y * sin(body) + middle_z * cos(body))
    for side in (1, -1):
        travel = parallel + side * base * sin(turn) + pivot * (1 - cos(turn))
        energy += spring_load * travel + HALF * rate * travel**2
        y = middle_y + side * track / 2 * cos(turn)
        z = middle_z + side * track / 2 * sin(turn)
        energy += _tyre_energy(_Wheel(y=y, z=z, lean=turn, side=side))
    return energy + _twist_energy(track * sin(turn))


def roll_form(energy: sympy.Expr, turn_per_hub_line: sympy.Expr) -> Matrix:
    """Second derivatives by body roll, hub-line roll and ground roll at ride height.

    Raises:
        UnprovedError: The reference is not in equilibrium, or roll does not part from heave.
    """
    level = dict.fromkeys((body, heave, parallel, turn, ground), 0)
    for coordinate in (heave, parallel, body, turn):
        if sympy.simplify(sympy.diff(energy, coordinate).subs(level)) != 0:
            raise UnprovedError(f"the reference state is not in equilibrium in {coordinate}")
    anti = (body, turn, ground)
    for symmetric in (heave, parallel):
        for coordinate in anti:
            if sympy.simplify(sympy.diff(energy, symmetric, coordinate).subs(level)) != 0:
                raise UnprovedError(f"{symmetric} does not part from {coordinate}")
    hessian = Matrix(3, 3, lambda i, j: sympy.diff(energy, anti[i], anti[j]).subs(level))
    # (phi, q, gamma) = change (phi, chi, gamma) with q = turn_per_hub_line (chi - phi)
    change = Matrix([[1, 0, 0], [-turn_per_hub_line, turn_per_hub_line, 0], [0, 0, 1]])
    return (change.T * hessian * change).applyfunc(sympy.expand)


def _in_shorthand(form: Matrix, spring_rate: sympy.Expr, arm: sympy.Expr | None) -> Matrix:
    """The form with K_s, K_t, G and sigma for spring rate, tyre rate, load and swing arm."""
    values: list[tuple[sympy.Symbol, sympy.Expr]] = [(rate, spring_rate)]
    if arm is not None:
        values.append((swing, arm))
    values += [(tyre, 2 * tyres / track**2), (load, rolling / (2 * section))]
    return form.subs(values).applyfunc(lambda entry: sympy.factor(sympy.simplify(entry)))


def _condense(form: Matrix) -> tuple[sympy.Expr, sympy.Expr, sympy.Expr]:
    """Coupling K, own A and overturning share 2 P H of an axle, its hub line eliminated."""
    gradient = form * Matrix([body, hub_line, ground])
    hub_roll = only(sympy.solve(gradient[1], hub_line))
    couple = sympy.expand(gradient[2].subs(hub_line, hub_roll))  # A gamma - K phi
    body_couple = sympy.expand(gradient[0].subs(hub_line, hub_roll))
    coupling = -couple.coeff(body, 1)
    own = couple.coeff(ground, 1)
    if sympy.simplify(body_couple.coeff(ground, 1) + coupling) != 0:
        raise UnprovedError("the condensed form is not symmetric")
    overturning = coupling - body_couple.coeff(body, 1)
    return coupling, own, overturning


def axle_forms() -> tuple[Matrix, Matrix]:
    """Second derivatives of an independent and of a solid axle by phi, chi and gamma, in K_s, K_t, G and sigma.

    Raises:
        UnprovedError: A solid axle is not the independent one with sigma = 1.
    """
    independent = _in_shorthand(
        roll_form(independent_energy(), track / (2 * swing)),
        (springs - (bar + auxiliary) * track**2) * 2 / track**2,
        track / (2 * sigma),
    )
    solid = _in_shorthand(
        roll_form(solid_energy(), sympy.Integer(1)), (springs - (bar + auxiliary) * track**2) / (2 * base**2), None
    )
    if (independent.subs(sigma, 1) - solid).applyfunc(sympy.simplify) != sympy.zeros(3, 3):
        raise UnprovedError("a solid axle is not the independent one with sigma = 1")
    return independent, solid


def derive() -> Derivation:
    """Roll couples from the energy of both kinds of axle, then the unloading lifts from two of them."""
    independent, solid = axle_forms()
    coupling, own, overturning = _condense(independent)
    solid_coupling, solid_own, solid_overturning = _condense(solid)

    yielding = springs + tyres - sigma**2 * rolling
    numerator = springs + 2 * sigma * pivot * spring_load + sigma * (1 - sigma) * rolling
    stated_share = (
        2 * spring_load * (centre - hub - sigma * pivot)
        + (1 - sigma) * rolling
        + sigma * (2 * pivot * spring_load + rolling) * numerator / yielding
    )

    # Two axles under one body: front ground rolled by z/t_f.
    k_f, k_r, a_f, over, t_f, t_r, f_f, f_r, lift = symbols("K_f K_r A_f C t_f t_r F_f F_r z", positive=True)
    front_couple = a_f * lift / t_f - k_f * body
    rear_couple = -k_r * body
    body_moment = k_f * lift / t_f - (k_f + k_r - over) * body
    roll = solve_linear([body_moment], (body,))[body]
    n_rl = f_r / 2 + (rear_couple / t_r).subs(body, roll)
    n_fr = f_f / 2 - (front_couple / t_f).subs(body, roll)
    rear_lift = only(sympy.solve(n_rl, lift))
    front_lift = only(sympy.solve(n_fr, lift))
    margin = k_f + k_r - over
    z_rl, z_fr, z_series = symbols("z_RL z_FR z_FR0")
    form = symbols("V")
    state = Matrix([body, hub_line, ground])
    k_axle, a_axle, share = symbols("K A C_axle")
    return Derivation(
        title="Lift that unloads a wheel, from the roll stiffness of two axles",
        premises=(
            "The energy is that of weights, springs, bars, auxiliary roll stiffness and tyres; at ride height all is "
            "level and in equilibrium, so each spring carries P and each tyre N.",
            "Independent: each carrier turns about a pivot S inboard of the hub and p above it; the spring force "
            "P + k u acts along body z at the hub; the unsprung weight N - P is at the hub.",
            "Solid: the axle slides along body z and turns about its roll centre, p above the hub line; springs at "
            "+-b; its weight 2 (N - P) is at the middle of the hub line.",
            "Bar and auxiliary store (k_b + k_a) d^2/2 + k_a3 d^4/4, d the difference of the hubs' travels; the cubic "
            "part k_a3 drops out of every second derivative at ride height.",
            "The tyre is a torus that rolls on the ground as it leans: its crown circle has the radius "
            "rho = R - r.",
            "Ground, hub line and body roll by gamma, chi and phi; lifting the left wheel by z rolls the ground "
            "by z/t. The load of each axle stays what it was.",
        ),
        steps=(
            Line("Second-order energy of an independent axle in phi, chi and gamma, with sigma = t/(2 S), "
                 "K_s = k t^2/2 + (k_b + k_a) t^2, K_t = k_t t^2/2 and G = 2 N rho:",
                 Eq(form, sympy.expand((state.T * independent * state)[0] / 2))),
            Line("A solid axle, K_s = 2 k b^2 + (k_b + k_a) t^2, gives the same with sigma = 1:",
                 Eq(form, sympy.expand((state.T * solid * state)[0] / 2))),
            Line("The hub line settles where the energy is least, which leaves the couple A gamma - K phi on "
                 "the ground and the overturning share C_axle on the body:",
                 sympy.Tuple(Eq(k_axle, sympy.factor(coupling)), Eq(a_axle, sympy.factor(own)), Eq(share, sympy.factor(overturning)))),
            Line("Roll moment of the body on both axles, C the sum of both shares:",
                 Eq(sympy.collect(sympy.expand(body_moment), body), 0)),
            Line("Solve for the body's roll:", Eq(body, roll)),
            Line("Load of the rear-left wheel:", Eq(sympy.Symbol("N_RL"), n_rl)),
            Line("Load of the front-right wheel:", Eq(sympy.Symbol("N_FR"), n_fr)),
            Line("Each is zero at its lift; the smaller one decides.", sympy.Tuple(Eq(z_rl, rear_lift),
                                                                                  Eq(z_fr, front_lift))),
        ),
        results=(
            Proved("lift that unloads the rear-left wheel",
                   Eq(z_rl, t_f * t_r * f_r * margin / (2 * k_f * k_r)), rear_lift, "m"),
            Proved("lift that unloads the front-right wheel",
                   Eq(z_fr, t_f**2 * f_f * margin / (2 * (a_f * margin - k_f**2))), front_lift, "m"),
            Proved("the same where A_f = K_f",
                   Eq(z_series, t_f**2 * f_f * margin / (2 * k_f * (k_r - over))),
                   front_lift.subs(a_f, k_f), "m"),
            Proved("roll couple of an axle per body roll", Eq(k_axle, tyres * numerator / yielding),
                   coupling, "N m/rad"),
            Proved("roll couple of an axle per ground roll",
                   Eq(a_axle, tyres * (springs - sigma**2 * rolling) / yielding), own, "N m/rad"),
            Proved("overturning rate of an axle's share of the sprung weight, 2 P H",
                   Eq(share, stated_share), overturning, "N m/rad"),
            Proved("roll couple of a solid axle per body roll",
                   Eq(k_axle, (tyres * numerator / yielding).subs(sigma, 1)), solid_coupling, "N m/rad"),
            Proved("roll couple of a solid axle per ground roll",
                   Eq(a_axle, (tyres * (springs - sigma**2 * rolling) / yielding).subs(sigma, 1)),
                   solid_own, "N m/rad"),
            Proved("overturning rate of a solid axle's share of the sprung weight, 2 P H",
                   Eq(share, stated_share.subs(sigma, 1)), solid_overturning, "N m/rad"),
            Proved("the share where tyres are rigid thin discs and wheels weigh nothing: H is the height over "
                   "the geometric roll centre",
                   Eq(share, 2 * spring_load * (centre - sigma * (hub + pivot))),
                   sympy.limit(overturning.subs(rolling, 2 * spring_load * hub), tyres, sympy.oo), "N m/rad"),
        ),
        symbols=named(
            """
            z: vertical lift of the front-left wheel [m]
            K_f: K of the front axle [N m/rad]
            K_r: K of the rear axle [N m/rad]
            A_f: A of the front axle [N m/rad]
            C: overturning rate of the sprung weight, both shares [N m/rad]
            t_f: front track [m]
            t_r: rear track [m]
            F_f: front axle load, both wheels [N]
            F_r: rear axle load, both wheels [N]
            K_s: roll stiffness of an axle's springs, bar and auxiliary [N m/rad]
            K_t: roll stiffness of an axle's tyres, k_t t^2/2 [N m/rad]
            G: load of an axle times the tyre's crown radius, 2 N (R - r) [N m]
            sigma: half track over swing arm, t/(2 S); 1 for a solid axle [-]
            p: pivot or roll centre above the hub [m]
            P: load of one spring at ride height [N]
            N: load of one wheel at ride height [N]
            h: height of the sprung centre of gravity over the ground [m]
            h_w: height of the hub over the ground [m]
            phi: roll of the body, left side up [rad]
            chi: roll of the hub line [rad]
            gamma: roll of the ground under the axle [rad]
            """,
            lift, k_f, k_r, a_f, over, t_f, t_r, f_f, f_r, springs, tyres, rolling, sigma, pivot,
            spring_load, load, centre, hub, body, hub_line, ground,
        ),
        validity="Small angles about the level ride height; no added load or offset, clear of stops, springs on "
        "their seats, rigid frame, no cross link. Lifts: axle loads unchanged (see pitch-transfer).",
        source="Second derivatives of the potential energy; derived here.",
    )  # fmt: skip
