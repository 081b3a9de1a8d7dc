"""Roll gradient of a steady turn, from the energy of both kinds of axle and the work of inertia and ground."""

from __future__ import annotations

import sympy
from sympy import Eq, Matrix, Rational, Symbol, cos, sin, symbols

from articulate.closed_forms.derivation import Derivation, Line, Proved, UnprovedError, named, solve_linear
from articulate.closed_forms.proofs.roll_stiffness import (
    axle_forms,
    body,
    centre,
    hub,
    parallel,
    pivot,
    rolling,
    sigma,
    spring_load,
    springs,
    swing,
    track,
    turn,
    tyres,
)

HALF = Rational(1, 2)
sprung, unsprung = symbols("W_s W_u", positive=True)
hub_height = Symbol("z", positive=True)


def _side(y: sympy.Expr, z: sympy.Expr) -> sympy.Expr:
    """Lateral place of a point (y, z) of the body's frame, whose origin is at ground level."""
    return y * cos(body) - z * sin(body)


def lateral_work(solid: bool) -> sympy.Expr:
    """Work of an axle's share of inertia and of the ground's answer, for 1 g towards the vehicle's right.

    W_s acts at the sprung centre of gravity, W_u/2 at each hub, -(W_s + W_u)/2 at each point of contact, which moves
    rigidly with its wheel carrier.
    """
    work = -sprung * _side(sympy.Integer(0), centre)
    for side in (1, -1):
        if solid:
            lean = turn
            y = pivot * sin(turn) + side * track / 2 * cos(turn)
            z = hub_height + parallel + pivot * (1 - cos(turn)) + side * track / 2 * sin(turn)
        else:
            arm = parallel + side * turn
            lean = side * arm
            y = side * (track / 2 + pivot * sin(arm) + swing * (cos(arm) - 1))
            z = hub_height + swing * sin(arm) + pivot * (1 - cos(arm))
        contact = _side(y, z) + hub_height * sin(body + lean)
        work += -HALF * unsprung * _side(y, z) + HALF * (sprung + unsprung) * contact
    return work


def _couples(solid: bool) -> Matrix:
    """Derivatives of the work by body roll and by roll of the hub line against the body, at ride height."""
    work, level = lateral_work(solid), {body: 0, turn: 0, parallel: 0}
    if sympy.simplify(sympy.diff(work, parallel).subs(level)) != 0:
        raise UnprovedError("parallel travel does not part from the turn")
    turn_per_roll = sympy.Integer(1) if solid else track / (2 * swing)
    by = [sympy.diff(work, body), sympy.diff(work, turn) * turn_per_roll]
    return Matrix([sympy.expand(value.subs(level).subs(swing, track / (2 * sigma))) for value in by])


def derive() -> Derivation:
    """The two equations of each axle from energy and work, then the roll of two axles under one body."""
    forms = []
    for absolute in axle_forms():
        relative = Matrix([[1, 0], [1, 1], [0, 0]])  # (phi, chi, gamma) = relative (phi, chi - phi), ground level
        form = relative.T * absolute * relative
        forms.append(form.subs({hub: hub_height, spring_load: sprung / 2}).applyfunc(sympy.expand))
    form, couples = forms[0], _couples(solid=False)
    for independent, solid in ((form, forms[1]), (couples, _couples(solid=True))):
        if (independent.subs(sigma, 1) - solid).applyfunc(sympy.simplify) != sympy.zeros(*solid.shape):
            raise UnprovedError("a solid axle is not the independent one with sigma = 1")

    # Two axles under one body; c is the hub line's roll against the body, sign reversed.
    d_f, d_r, s_f, s_r, x_f, x_r = symbols("D_f D_r S_f S_r X_f X_r", positive=True)
    m_f, m_r, b_f, b_r, t_f, t_r, link = symbols("m_f m_r b_f b_r t_f t_r k_x", positive=True)
    c_f, c_r = symbols("c_f c_r", real=True)

    def equations(k_x: sympy.Expr) -> list[sympy.Expr]:
        twist = k_x * (t_f * c_f + t_r * c_r)
        return [
            (d_f + d_r) * body - x_f * c_f - x_r * c_r - (m_f + m_r),
            -x_f * body + s_f * c_f + t_f * twist + b_f,
            -x_r * body + s_r * c_r + t_r * twist + b_r,
        ]

    plain = solve_linear(equations(sympy.Integer(0)), (body, c_f, c_r))[body]
    linked = solve_linear(equations(link), (body, c_f, c_r))[body]
    stated = (m_f - x_f * b_f / s_f + m_r - x_r * b_r / s_r) / (d_f - x_f**2 / s_f + d_r - x_r**2 / s_r)
    l_f, l_r, between = s_f + link * t_f**2, s_r + link * t_r**2, link * t_f * t_r
    area = l_f * l_r - between**2
    taken = (x_f * (l_r * x_f - between * x_r) + x_r * (l_f * x_r - between * x_f)) / area
    carried = (x_f * (l_r * b_f - between * b_r) + x_r * (l_f * b_r - between * b_f)) / area
    gradient, gradient_linked = symbols("phi_g phi_gx")
    own, mixed, on_body, moment, at_axle = symbols("S X D m b")
    return Derivation(
        title="Roll gradient of a steady turn",
        premises=(
            "Energy and kinematics of each axle are those of roll-stiffness-lift, on level ground: springs, bars, "
            "auxiliary roll stiffness, torus tyres and weights about the level vehicle at ride height.",
            "At 1 g, inertia W_s acts at the sprung centre of gravity and W_u at the hubs; the ground answers at "
            "ground level with -(W_s + W_u) at each axle, as the yaw balance shares it out.",
            "Points of contact move rigidly with their wheel carrier.",
            "A cross link stores k_x d^2/2, d the sum over the axles of left minus right hub travel, t c of each.",
            "No stops, added load, frame twist or suspension friction.",
        ),
        steps=(
            Line("Second derivatives of an independent axle's energy by body roll and by roll of the hub line "
                 "against the body, with sigma = t/(2 S), K_s = k t^2/2 + (k_b + k_a) t^2, K_t = k_t t^2/2 and "
                 "G = (W_s + W_u)(R - r); a solid axle, K_s = 2 k b^2 + (k_b + k_a) t^2, gives the same with "
                 "sigma = 1:", form),
            Line("Derivatives of the work of inertia and ground by the same two:", couples),
            Line("Two axles under one body, c the hub line's roll against the body with its sign reversed:",
                 sympy.Tuple(*(Eq(equation, 0) for equation in equations(link)))),
            Line("Solve for the body's roll without a cross link:", Eq(gradient, sympy.factor(plain))),
        ),
        results=(
            Proved("roll gradient, no cross link", Eq(gradient, stated), plain, "rad/g"),
            Proved("roll gradient with a cross link",
                   Eq(gradient_linked, (m_f + m_r - carried) / (d_f + d_r - taken)), linked, "rad/g"),
            Proved("stiffness of an axle's hub line against the body", Eq(own, springs + tyres - sigma**2 * rolling),
                   form[1, 1], "N m/rad"),
            Proved("coupling of body and hub line",
                   Eq(mixed, tyres - sigma * (rolling + sprung * pivot)), form[0, 1], "N m/rad"),
            Proved("stiffness of the body on an axle whose suspension is locked",
                   Eq(on_body, tyres - rolling - sprung * (centre - hub_height)), form[0, 0], "N m/rad"),
            Proved("moment of 1 g on the body", Eq(moment, sprung * centre + unsprung * hub_height), couples[0], "N m"),
            Proved("moment of 1 g on the hub line",
                   Eq(at_axle, sigma * (sprung * (hub_height + pivot) + unsprung * hub_height)), couples[1], "N m"),
        ),
        symbols=named(
            """
            D_f: D of the front axle [N m/rad]
            D_r: D of the rear axle [N m/rad]
            X_f: X of the front axle [N m/rad]
            X_r: X of the rear axle [N m/rad]
            S_f: S of the front axle [N m/rad]
            S_r: S of the rear axle [N m/rad]
            m_f: m of the front axle [N m]
            m_r: m of the rear axle [N m]
            b_f: b of the front axle [N m]
            b_r: b of the rear axle [N m]
            t_f: front track [m]
            t_r: rear track [m]
            k_x: rate of a cross link at the wheels [N/m]
            K_s: roll stiffness of an axle's springs, bar and auxiliary [N m/rad]
            K_t: roll stiffness of an axle's tyres, k_t t^2/2 [N m/rad]
            G: load of an axle times the tyre's crown radius, (W_s + W_u)(R - r) [N m]
            sigma: half track over swing arm, t/(2 S); 1 for a solid axle [-]
            p: pivot or roll centre above the hub [m]
            W_s: sprung part of an axle's load [N]
            W_u: weight of an axle's unsprung parts [N]
            h: height of the sprung centre of gravity over the ground [m]
            z: height of the hub over the ground [m]
            phi: roll of the body [rad]
            c_f: roll of the front hub line against the body, sign reversed [rad]
            c_r: roll of the rear hub line against the body, sign reversed [rad]
            """,
            d_f, d_r, x_f, x_r, s_f, s_r, m_f, m_r, b_f, b_r, t_f, t_r, link, springs, tyres, rolling,
            sigma, pivot, sprung, unsprung, centre, hub_height, body, c_f, c_r,
        ),
        validity="The slope where the turn begins: small angles about the level ride height, clear of stops, "
        "springs on their seats, rigid frame, no suspension friction.",
        source="Second derivatives of the potential energy and virtual work; derived here.",
    )  # fmt: skip
