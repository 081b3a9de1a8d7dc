"""Load moved between the axles as the front-left wheel is lifted and its contact moves up the ramp."""

from __future__ import annotations

import sympy
from sympy import Eq, Matrix, Rational, cos, sin, symbols

from articulate.closed_forms.derivation import Derivation, Line, Proved, UnprovedError, named, solve_linear

HALF = Rational(1, 2)


def derive() -> Derivation:
    """Load transfer from the symmetric part of the energy, both axles independent with swing arms."""
    length, centre, behind = symbols("L h a", positive=True)
    loads, spring_loads = symbols("N_f N_r", positive=True), symbols("P_f P_r", positive=True)
    hubs, arms, sections = (
        symbols("h_wf h_wr", positive=True),
        symbols("S_f S_r", positive=True),
        symbols("rho_f rho_r", positive=True),
    )
    pivots = symbols("p_f p_r", real=True)
    rates, tyres = symbols("k_sf k_sr", positive=True), symbols("k_tf k_tr", positive=True)
    lift, radius, angle = symbols("z R_f g", positive=True)
    heave, pitch = symbols("zeta theta", real=True)
    turns = symbols("beta_f beta_r", real=True)

    def height(x: sympy.Expr, z: sympy.Expr) -> sympy.Expr:
        return heave - x * sin(pitch) + z * cos(pitch)

    weight = 2 * (spring_loads[0] + spring_loads[1])
    energy = weight * height(-behind, centre)
    penetrations = []
    for i, x in enumerate((sympy.Integer(0), -length)):
        travel = arms[i] * sin(turns[i]) + pivots[i] * (1 - cos(turns[i]))
        hub = height(x, hubs[i] + travel)
        energy += 2 * (loads[i] - spring_loads[i]) * hub
        energy += 2 * (spring_loads[i] * travel + HALF * rates[i] * travel**2)
        # Both wheels lean by beta, and the body's pitch turns that lean out of the upright plane.
        crown = sections[i] * (sympy.sqrt(1 - (cos(pitch) * sin(turns[i])) ** 2) - 1)
        under = lift / 2 if i == 0 else sympy.Integer(0)
        penetration = loads[i] / tyres[i] + crown - (hub - hubs[i]) + under
        energy += tyres[i] * penetration**2
        penetrations.append(penetration)

    # The weight's place is the one that the axle loads give.
    balance = {behind: 2 * spring_loads[1] * length / weight}
    unknowns = (heave, pitch, *turns)
    level = dict.fromkeys((*unknowns, lift), 0)
    for coordinate in unknowns:
        if sympy.simplify(sympy.diff(energy, coordinate).subs(level).subs(balance)) != 0:
            raise UnprovedError(f"the reference state is not in equilibrium in {coordinate}")
    hessian = Matrix(4, 4, lambda i, j: sympy.diff(energy, unknowns[i], unknowns[j]).subs(level).subs(balance))
    forcing = Matrix(4, 1, lambda i, _: sympy.diff(energy, unknowns[i], lift).subs(level))

    # The ramp's reaction at the crown turns the vehicle nose up: moment z F_x - x F_z about the hub's foot on
    # the flat, to first order in g.
    share = sympy.Symbol("lambda", nonnegative=True)
    normal = Matrix([-sin(angle), cos(angle)])
    up_slope = Matrix([cos(angle), sin(angle)])
    force = loads[0] * (normal + share * sympy.tan(angle) * up_slope)
    contact = Matrix([radius * sin(angle), -loads[0] / tyres[0]])
    moment_y = sympy.series(contact[1] * force[0] - contact[0] * force[1], angle, 0, 2).removeO()
    couple = sympy.factor(-moment_y)
    ride = symbols("k_f k_r", positive=True)
    rows = hessian * Matrix(unknowns) + forcing * lift + Matrix([0, couple, 0, 0])
    wheel = [rates[i] - loads[i] * sections[i] / arms[i] ** 2 for i in (0, 1)]
    # Ride rate of an axle: 2 wheel k_t / (wheel + k_t); written for the spring rate.
    springs = {
        rates[i]: ride[i] * tyres[i] / (2 * tyres[i] - ride[i]) + loads[i] * sections[i] / arms[i] ** 2 for i in (0, 1)
    }
    rows = rows.subs(springs)
    motion = solve_linear(list(rows), unknowns)
    linear = sum(
        (sympy.diff(2 * tyres[0] * penetrations[0], c).subs(level) * c for c in (*unknowns, lift)),
        sympy.Integer(0),
    )
    change = linear.subs(motion)
    # The same deflection of a spring and its tyre, d of the wheel's ground and d_t of the tyre.
    ground, squash = symbols("d d_t", positive=True)
    share_of_tyre = solve_linear([wheel[0] * (ground - squash) - tyres[0] * squash], (squash,))[squash]
    ride_rate = sympy.cancel(2 * tyres[0] * share_of_tyre / ground)
    moment = 2 * spring_loads[0] * (centre - hubs[0]) + 2 * spring_loads[1] * (centre - hubs[1])
    m, gain, k_axle = symbols("m dF_f k_f", positive=True)
    arm = radius - (1 - share) * loads[0] / tyres[0]
    stated = -(moment * lift / 2 + loads[0] * arm * angle * length) / (length**2 - moment * (1 / ride[0] + 1 / ride[1]))
    return Derivation(
        title="Load moved to the rear axle as the front-left wheel climbs",
        premises=(
            "Lifting the front-left wheel by z lifts the middle of the front axle by z/2; roll and warp do not "
            "change the load of an axle to first order.",
            "Suspensions slide along the body's own z, so that the sprung weight moves rearward over them as "
            "the vehicle pitches nose up.",
            "On a ramp of angle g the contact of the front-left wheel, load N_f, is R_f g ahead of its hub.",
            "That contact is the tyre's undeformed crown, N_f/k_tf below the ground. There the ramp's reaction has "
            "the horizontal part (1 - lambda) N_f g, and the wheels on the flat hold it at ground level.",
        ),
        steps=(
            Line("Second derivatives of the energy by heave, pitch and the turns of front and rear carriers:",
                 hessian.applyfunc(sympy.factor)),
            Line("First derivatives by the lift, and the couple of the contact ahead of its hub:",
                 sympy.Tuple(forcing, Eq(sympy.Symbol("M_y"), couple))),
            Line("Springs in series with tyres, less what the rolling of the tyre takes, make the ride rate "
                 "k_f of the front axle, k_r of the rear:",
                 Eq(k_axle, sympy.factor(ride_rate))),
            Line("With the couple of the sprung weight in pitch", Eq(m, moment)),
            Line("the four equilibria give the change of the front axle's load:",
                 Eq(gain, -(m * lift / 2 + couple * length) / (length**2 - m * (1 / ride[0] + 1 / ride[1])))),
        ),
        results=(
            Proved("change of the front axle load; the rear's is the opposite", Eq(gain, stated), change, "N"),
            Proved("ride rate of an axle", Eq(k_axle, 2 * wheel[0] * tyres[0] / (wheel[0] + tyres[0])),
                   ride_rate, "N/m"),
        ),
        symbols=named(
            """
            z: vertical lift of the front-left wheel [m]
            g: ramp angle [rad]
            lambda: share of the slope force held by the ramp wheel itself [-]
            L: wheelbase [m]
            h: height of the sprung centre of gravity over the ground [m]
            h_wf: front hub over the ground [m]
            h_wr: rear hub over the ground [m]
            P_f: load of a front spring [N]
            P_r: load of a rear spring [N]
            N_f: load of a front wheel [N]
            R_f: front tyre's outer radius [m]
            k_f: ride rate of the front axle, both wheels [N/m]
            k_r: ride rate of the rear axle, both wheels [N/m]
            k_sf: front wheel rate [N/m]
            k_tf: rate of a front tyre [N/m]
            rho_f: front crown radius R - r [m]
            S_f: front swing arm; infinite for a solid axle [m]
            m: couple of the sprung weight per pitch [N m/rad]
            """,
            lift, angle, share, length, centre, hubs[0], hubs[1], spring_loads[0], spring_loads[1],
            loads[0], radius, ride[0], ride[1], rates[0], tyres[0], sections[0], arms[0], m,
        ),
        validity="First order in z and g about the level ride height; L^2 > m (1/k_f + 1/k_r).",
        source="Second derivatives of the potential energy; derived here.",
    )  # fmt: skip
