"""The body's outline, fitted to what is known of a vehicle: faces in three dimensions, the same for every view.

Coordinates are those of the file's body points: behind the front axle, left of the middle, above the ground at ride
height. The underside is made of three lanes, the middle and one inboard of each flank; each follows, from nose to tail,
the given points in it, so a given point lies on the outline's lower boundary and nothing of the outline is below it.
Where nothing is given the kind's proportions stand, raised so that they are no lower than any given point, and ahead of
the first given point (behind the last) they rise as steeply as the steepest ramp.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from articulate.brief import Brief
from articulate.shape.kinds import KINDS, KindName, ShapeChoices

Array = NDArray[np.float64]
Material = Literal["paint", "roof", "glass", "trim", "lamp", "tail lamp", "under", "inside", "tyre"]
Part = Literal["inside", "under", "lower", "upper"]
Line = list[tuple[float, float]]  # behind the front axle, height [m]

STEEPEST = 0.727  # tangent of 36 deg, above any ramp
USUAL_TRACK = 1.58  # [m]
ARCH_ROOM = (0.06, 0.15)  # [m] from tyre to arch lip, at least and at most as drawn
BRACKET = 0.035  # [m], half the width of a part that is drawn to reach a point by itself
LANE = 1e-3  # [m]


@dataclass(frozen=True, eq=False, repr=False)
class Known(Brief):
    """What a vehicle's outline is fitted to; front and rear in pairs, lengths [m], None where the file says nothing."""

    kind: KindName
    wheelbase: float
    track: tuple[float, float]
    hub_height: tuple[float, float]  # at ride height
    tyre_radius: tuple[float, float]
    section_radius: tuple[float, float]
    arch_gap: tuple[float, float]  # from the tyre's top, infinite where unknown
    points: Array  # (k, 3)
    said: ShapeChoices  # of its lengths; its kind is the one above


@dataclass(frozen=True, eq=False, repr=False)
class Face(Brief):
    """A flat piece of the outline; drawn where its outward side is seen, or always (`normal` of zeros)."""

    name: str
    material: Material
    part: Part
    points: Array  # (k, 3)
    normal: Array  # (3,)


@dataclass(frozen=True, eq=False, repr=False)
class BodyOutline(Brief):
    """The faces, each before what lies upon it, and lines on the flanks and the tail."""

    kind: KindName
    faces: tuple[Face, ...]
    seams: tuple[tuple[str, Array], ...]  # name of the face they lie on, (k, 3)
    half_width: float
    height: float
    arch: tuple[Array, Array]  # front and rear, (k, 2): behind the front axle, height; the lip of both flanks

    def face(self, name: str) -> Face:
        """The face of that name."""
        return next(face for face in self.faces if face.name == name)

    def seen(self, toward: Array) -> list[Face]:
        """Faces a viewer in the direction `toward` (3,) [body axes] sees, those behind first.

        The upper part stands on the lower: from above it is seen before the lower one, from below behind it.
        """
        order: tuple[Part, ...] = ("inside", "under", "lower", "upper")
        if toward[2] < 0.0:
            order = ("upper", "inside", "under", "lower")
        outward = self._normals @ toward > 1e-6
        visible = [face for face, out in zip(self.faces, (outward | self._both_sides).tolist(), strict=True) if out]
        return [face for part in order for face in visible if face.part == part]

    @cached_property
    def _normals(self) -> Array:
        """Of all faces, (faces, 3)."""
        return np.array([face.normal for face in self.faces])

    @cached_property
    def _both_sides(self) -> NDArray[np.bool_]:
        """Faces that are seen from either side, (faces,)."""
        return np.asarray(~self._normals.any(axis=1))

    def across(self, rear: bool) -> Array:
        """The body's edge seen from behind or ahead, at the axle's end of the vehicle, (8, 3)."""
        flank = self.face("left flank").points
        end = flank[:, 0].max() if rear else flank[:, 0].min()
        side = self.face("left side").points
        low = flank[np.abs(flank[:, 0] - end) < 0.25][:, 2].min()
        upper = [(side[:, 1].max(), side[:, 2].min()), (side[:, 1].min(), side[:, 2].max())]
        roof = self.face("roof").points
        upper.append((roof[:, 1].max(), roof[:, 2].max()))
        half = [(self.half_width, low), (self.half_width, upper[0][1]), *upper[1:]]
        ring = [(-y, z) for y, z in half] + half[::-1]
        return np.array([(end, y, z) for y, z in ring])


def body_outline(known: Known) -> BodyOutline:
    """The outline of a vehicle.

    Args:
        known: what it is fitted to.

    Returns:
        Faces in the coordinates of the body points. Every given point below the windows lies on the lower boundary (a
        point in a wheel arch or outside the body on a bracket of its own).
    """
    return _Fit(known).outline()


class _Fit:
    """The steps of one fit."""

    def __init__(self, known: Known) -> None:
        self.known, self.kind = known, KINDS[known.kind]
        self.base = sum(known.hub_height) / 2.0
        self.scale = float(np.clip(sum(known.track) / 2.0 / USUAL_TRACK, 0.45, 1.6))
        self.wheelbase = known.wheelbase
        self.faces: list[Face] = []
        self.seams: list[tuple[str, Array]] = []
        outer = max(0.5 * t + s for t, s in zip(known.track, known.section_radius, strict=True)) + 0.015
        self.half = known.said.width / 2.0 if known.said.width is not None else outer
        self.inner = max(
            min(0.5 * t - s for t, s in zip(known.track, known.section_radius, strict=True)) - 0.05, 0.25 * self.half
        )
        self.reach = [self._arch_radius(axle) for axle in (0, 1)]
        points = known.points.reshape(-1, 3)
        low = points[:, 2] < self.base + 0.42 * self.scale
        wide = np.abs(points[:, 1])
        if known.said.width is None and low.any():  # a step that stands out a little makes the body wider
            near = wide[low & (wide < self.half + 0.12)]
            self.half = max(self.half, float(near.max(initial=0.0)) + 0.01)
        in_arch = np.zeros(len(points), dtype=bool)
        for axle, at in enumerate((0.0, self.wheelbase)):
            in_arch |= (np.abs(points[:, 0] - at) < self.reach[axle]) & (wide > self.inner)
        follows = low & (wide <= self.half) & ~in_arch
        self.points, self.alone = points[follows], points[~follows & low]
        self.lowest = float(points[low][:, 2].min()) if low.any() else 0.0
        self._ends()
        for axle in (0, 1):  # some bumper is left beyond the arch
            least = known.tyre_radius[axle] + 0.02
            self.reach[axle] = max(min(self.reach[axle], self.edge[axle][0] - 0.05), least)

    def _arch_radius(self, axle: int) -> float:
        radius, gap = self.known.tyre_radius[axle], self.known.arch_gap[axle]
        room = float(np.clip(gap if np.isfinite(gap) else 0.11 * self.scale, *ARCH_ROOM))
        return min(radius + room, 0.45 * self.wheelbase)

    def at(self, share: float) -> float:
        return share * self.wheelbase

    def over(self, height: float) -> float:
        """A height of the kind, over the hubs, as a height over the ground."""
        return self.base + height * self.scale

    def _ends(self) -> None:
        """Nose and tail: how far they reach, and the lower edge of the bumpers."""
        known, kind = self.known, self.kind
        front, rear = known.said.front_overhang, known.said.rear_overhang
        if known.said.length is not None:
            both = known.said.length - self.wheelbase
            share = kind.front_overhang / (kind.front_overhang + kind.rear_overhang)
            if front is None:
                front = both - rear if rear is not None else both * share
            rear = both - front if rear is None else rear
        room = (known.tyre_radius[0] + 0.16, known.tyre_radius[1] + 0.16)
        self.edge: list[tuple[float, float]] = []  # beyond the axle, height: the lower edge of each bumper
        self.end: list[float] = []  # beyond the axle: the foremost and the hindmost
        for axle, (given, usual) in enumerate(((front, kind.front_overhang), (rear, kind.rear_overhang))):
            reach = max(given if given is not None else self.at(usual), room[axle])
            beyond = self._beyond(axle, self.points)
            outer = beyond[:, 0].max(initial=-np.inf)
            if outer > known.tyre_radius[axle] and (given is not None or outer > reach - 0.35):
                first = beyond[np.lexsort((beyond[:, 1], -beyond[:, 0]))[0]]
                self.edge.append((float(first[0]), float(first[1])))
                self.end.append(max(given or 0.0, outer + (0.08 * self.scale if given is None else 0.0)))
                continue
            reach = max(reach, outer)
            place = reach - 0.06 * self.scale
            height = max(self.over(0.06), self.lowest, self.base - known.hub_height[axle] + 0.05)
            angle_room = (place - known.tyre_radius[axle] * 0.6) * 0.55
            height = max(height, min(angle_room, self.over(0.30)))
            for point in beyond:
                height = max(height, float(point[1]) + STEEPEST * (place - float(point[0])))
            self.edge.append((place, height))
            self.end.append(reach)

    def _beyond(self, axle: int, points: Array) -> Array:
        """Given points beyond an axle, (k, 2): how far, and their height."""
        out = -points[:, 0] if axle == 0 else points[:, 0] - self.wheelbase
        return np.stack([out, points[:, 2]], axis=-1)[out > 0.0]

    def lane(self, which: int) -> Array:
        """The lower boundary of a lane from nose to tail, (k, 2); -1 right, 0 middle, 1 left. Arches not cut yet."""
        own = self._of_lane(which)
        found: Line = []
        for zone in ("front", "middle", "rear"):
            mine = self._zone(own, zone)
            if not len(mine) and which:
                mine = self._zone(self._of_lane(-which), zone)
            line: Line = [(float(p[0]), float(p[2])) for p in mine[np.lexsort((-mine[:, 2], mine[:, 0]))]]
            if zone == "middle":
                found += self._middle(which, line)
            elif zone == "front":
                found += self._beyond_axle(0, line)
            else:
                mirrored = [(self.wheelbase - b, h) for b, h in line[::-1]]
                found += [(self.wheelbase - b, h) for b, h in self._beyond_axle(1, mirrored)[::-1]]
        return np.array(found)

    def _of_lane(self, which: int) -> Array:
        side = np.where(np.abs(self.points[:, 1]) <= self.inner, 0, np.sign(self.points[:, 1]))
        return np.asarray(self.points[side == which])

    def _zone(self, points: Array, zone: str) -> Array:
        b = points[:, 0]
        inside = {"front": b < 0.0, "middle": (b >= 0.0) & (b <= self.wheelbase), "rear": b > self.wheelbase}
        return np.asarray(points[inside[zone]])

    def _beyond_axle(self, axle: int, line: Line) -> Line:
        """Of the front, or of the rear turned round: bumper edge, then what is given."""
        place, height = self.edge[axle]
        edge = (-place, height)
        if line:
            return line if -line[0][0] >= place - 0.15 else [edge, *line]
        behind, floor = 0.62 * place, max(self.over(-0.02), self.lowest)
        for point in self._beyond(axle, self.points):
            floor = max(floor, float(point[1]) + STEEPEST * (behind - float(point[0])))
        return [edge, (-behind, min(floor, height))]

    def _middle(self, which: int, line: Line) -> Line:
        usual = max(self.over(0.03 if which else -0.05), self.lowest, 0.05)
        first, last = (self.reach[0], self.wheelbase - self.reach[1]) if which else (0.12, self.wheelbase - 0.12)
        if not line:
            return [(first, usual), (last, usual)]
        begin = [(first, line[0][1])] if line[0][0] > first + LANE else []
        finish = [(last, line[-1][1])] if line[-1][0] < last - LANE else []
        return [*begin, *line, *finish]

    # ---- faces ----

    def add(self, name: str, material: Material, part: Part, points: object, out: tuple[float, float, float]) -> None:
        """A face; its normal is turned to the side of `out`, zeros for one that is seen from both sides."""
        corners = np.asarray(points, dtype=np.float64)
        (x, y, z), (u, v, w) = corners.T, corners[[*range(1, len(corners)), 0]].T
        normal = np.array([y @ w - z @ v, z @ u - x @ w, x @ v - y @ u])  # Newell
        size = float(np.sqrt(normal @ normal))
        if size < 1e-9:
            return
        direction = np.asarray(out)
        normal = normal / size * (1.0 if normal @ direction >= 0.0 else -1.0) if direction.any() else np.zeros(3)
        self.faces.append(Face(name, material, part, corners, normal))

    def outline(self) -> BodyOutline:
        kind, known, half = self.kind, self.known, self.half
        nose, tail = -self.end[0], self.wheelbase + self.end[1]
        roof = known.said.roof_height if known.said.roof_height is not None else self.over(kind.roof)
        shrink = (roof - self.base) / (kind.roof * self.scale)  # a given height stretches what lies below it
        belt = self.base + kind.belt * self.scale * shrink
        cowl = self.base + kind.cowl * self.scale * shrink
        bonnet = self.base + kind.bonnet * self.scale * shrink
        if known.said.bonnet_height is not None:
            cowl = known.said.bonnet_height
            bonnet = cowl - (kind.cowl - kind.bonnet) * self.scale
            belt = min(max(belt, cowl - 0.05), roof - 0.25)
        cowl_at = max(self.at(kind.cowl_at), nose + 0.12)
        lanes = {which: self.lane(which) for which in (-1, 0, 1)}
        self._underside(lanes, (bonnet - 0.08, cowl - 0.08, belt - 0.08), cowl_at)
        front = self._end_rows(lanes, 0, nose, bonnet)
        cowl = max(cowl, front[-1][1])
        rear = self._end_rows(lanes, 1, tail, belt)
        arches = tuple(self._arch(axle, lanes[1]) for axle in (0, 1))
        shoulder = [(front[-1][0], front[-1][1]), (cowl_at, cowl), (cowl_at + 0.10, belt), (rear[-1][0], belt)]
        for sign, side in ((-1.0, "right"), (1.0, "left")):
            self._flank(side, sign, lanes[int(sign)], front, rear, shoulder, belt)
        self._ends_drawn(lanes, 0, front, "front")
        self._ends_drawn(lanes, 1, rear, "rear")
        self._bonnet(front, cowl_at, cowl)
        self._upper(cowl_at, cowl, belt, roof, rear[-1][0])
        self._brackets()
        if kind.spare:
            b, low = rear[2]
            self._spare(b, 0.5 * (low + belt) + 0.08 * self.scale)
        return BodyOutline(known.kind, tuple(self.faces), tuple(self.seams), half, roof, (arches[0], arches[1]))

    def _end_rows(self, lanes: dict[int, Array], axle: int, end: float, top: float) -> Line:
        """Place and height of nose, bumper top and bonnet or belt edge in the middle of an end."""
        ahead = -1.0 if axle == 0 else 1.0
        edges = [lane[0] if axle == 0 else lane[-1] for lane in lanes.values()]
        nose = max(float(h) + max(STEEPEST * abs(end - float(b)), 0.05 * self.scale) for b, h in edges)
        bumper = max(min(max(nose + 0.10 * self.scale, self.over(0.26)), top - 0.06), nose + 0.05)
        top = max(top, bumper + 0.05)
        back = -ahead * (0.07 if axle == 0 else 0.03) * self.scale
        return [(end, nose), (end, bumper), (end + back, bumper + 0.01), (end + 1.3 * back, top)]

    def _rounding(self, axle: int) -> float:
        """How far the corners of an end stand back at the flank [m], outward positive to the other end."""
        size = (0.13 if axle == 0 else 0.05) * self.scale
        return size if axle == 0 else -size

    def _arch(self, axle: int, lane: Array) -> Array:
        """The lip of a wheel arch from front to rear, (k, 2)."""
        at, hub, reach = (0.0, self.wheelbase)[axle], self.known.hub_height[axle], self.reach[axle]
        ends = np.interp([at - reach, at + reach], lane[:, 0], lane[:, 1])
        if axle == 0 and lane[0, 0] > at - reach:
            ends[0] = lane[0, 1]
        if axle == 1 and lane[-1, 0] < at + reach:
            ends[1] = lane[-1, 1]
        sines = np.clip((ends - hub) / reach, -0.2, 0.85)
        angles = np.linspace(np.pi - np.arcsin(sines[0]), np.arcsin(sines[1]), 25)
        arc = np.stack([at + reach * np.cos(angles), hub + reach * np.sin(angles)], axis=-1)
        legs = [[(arc[0, 0], ends[0])], [(arc[-1, 0], ends[1])]]
        return np.concatenate([legs[0], arc, legs[1]])

    def _cut(self, lane: Array) -> list[Array]:
        """The pieces of a side lane ahead of, between and behind the arches, and the arches between them."""
        first, second = self._arch(0, lane), self._arch(1, lane)
        b = lane[:, 0]
        ahead = lane[b < first[0, 0] - LANE]
        between = lane[(b > first[-1, 0] + LANE) & (b < second[0, 0] - LANE)]
        behind = lane[b > second[-1, 0] + LANE]
        return [ahead, first, between, second, behind]

    def _flank(self, side: str, sign: float, lane: Array, front: Line, rear: Line, shoulder: Line, belt: float) -> None:
        half = self.half
        ahead, first, between, second, behind = self._cut(lane)
        lower = np.concatenate([ahead, first, between, second, behind])
        shift_f, shift_r = self._rounding(0), self._rounding(1)
        low_end = float(lower[0, 0]), float(lower[-1, 0])
        lower = lower.copy()
        if len(ahead):
            lower[0, 0] = min(low_end[0] + 0.5 * shift_f, float(first[0, 0]) - 0.01)
        if len(behind):
            lower[-1, 0] = max(low_end[1] + 0.5 * shift_r, float(second[-1, 0]) + 0.01)
        up_front = [(b + shift_f, h) for b, h in front[:-1]]
        up_rear = [(b + shift_r, h) for b, h in rear[:-1]]
        ring = [
            *map(tuple, lower),
            *[(max(b, lower[-1, 0]) if len(behind) else b, h) for b, h in up_rear],
            *[(b, h) for b, h in shoulder[::-1]],
            *up_front[::-1],
        ]
        # The edges of bonnet and tail at the flank stand back as the bumpers do.
        ring = [
            (b + shift_f if (b, h) == shoulder[0] else b + shift_r if (b, h) == shoulder[-1] else b, h) for b, h in ring
        ]
        self.add(f"{side} flank", "paint", "lower", [(b, sign * half, h) for b, h in ring], (0.0, sign, 0.0))
        for name, h in (("front", shoulder[0][1]), ("rear", shoulder[-1][1])):
            end = front if name == "front" else rear
            shift = shift_f if name == "front" else shift_r
            back = 1.0 if name == "front" else -1.0
            lamp_low = max(end[1][1] + 0.05, h - 0.16 * self.scale if name == "front" else h - 0.34 * self.scale)
            corner = end[2][0] + shift
            wide = back * (0.10 if name == "front" else 0.05) * self.scale
            lamp = [(corner, lamp_low), (corner + wide, lamp_low), (corner + wide, h - 0.04), (corner, h - 0.04)]
            material: Material = "lamp" if name == "front" else "tail lamp"
            self.add(f"{side} {name} lamp", material, "lower", [(x, sign * half, z) for x, z in lamp], (0, sign, 0))
        where = f"{side} flank"
        sill = float(np.interp(0.5 * self.wheelbase, lane[:, 0], lane[:, 1])) + 0.05
        cab_end = self.at(self.kind.cab_to) if self.kind.cab_to is not None else None
        for share in self.kind.doors:
            b = self.at(share)
            arch = next((a for a in (first, second) if a[0, 0] < b < a[-1, 0]), None)
            low = sill if arch is None else float(np.interp(b, arch[1:-1, 0], arch[1:-1, 1])) + 0.02
            self.seams.append((where, np.array([(b, sign * half, low), (b, sign * half, belt)])))
        if cab_end is not None:
            self.seams.append((where, np.array([(cab_end, sign * half, sill), (cab_end, sign * half, belt)])))
        low, high = self.at(self.kind.doors[0]), self.at(self.kind.doors[-1])
        low, high = max(low, first[-1, 0] + 0.02), min(high, second[0, 0] - 0.02)
        if high > low:
            self.seams.append((where, np.array([(low, sign * half, sill), (high, sign * half, sill)])))
        for share in self.kind.doors[1:] if self.known.kind != "forward-control van" else self.kind.doors[1:2]:
            b = self.at(share) - 0.06
            handle = np.array([(b - 0.13, sign * half, belt - 0.10), (b, sign * half, belt - 0.10)])
            self.seams.append((where, handle))
        for lip in (first, second):
            self.seams.append((where, np.array([(b, sign * half, h) for b, h in lip])))

    def _stations(self, axle: int) -> list[tuple[float, int, float]]:
        """Across an end, from right to left: place, lane, and share of the corner's rounding."""
        out = 0.80 * self.half
        beyond = self.points[(self.points[:, 0] < 0.0) if axle == 0 else (self.points[:, 0] > self.wheelbase)]
        out = min(max(out, float(np.abs(beyond[:, 1]).max(initial=0.0)) + 0.002), self.half - 1e-3)
        inner = min(self.inner, out - 0.05)
        rows = [(-self.half, -1, 1.0), (-out, -1, 0.0), (-inner, -1, 0.0), (-inner, 0, 0.0)]
        return [*rows, *[(-y, -lane, share) for y, lane, share in rows[::-1]]]

    def _ends_drawn(self, lanes: dict[int, Array], axle: int, rows: Line, name: str) -> None:
        """Bumper, grille or tailgate: strips across the end."""
        out = (-1.0 if axle == 0 else 1.0, 0.0, 0.0)
        shift = self._rounding(axle)
        stations = self._stations(axle)

        def corner(row: int, station: tuple[float, int, float]) -> tuple[float, float, float]:
            y, lane, share = station
            if row == 0:
                edge = lanes[lane][0 if axle == 0 else -1]
                return (float(edge[0]) + 0.5 * shift * share, y, float(edge[1]))
            b, h = rows[row - 1]
            return (b + shift * share, y, h)

        materials: tuple[Material, ...] = ("trim", "trim", "paint", "paint")
        for row in range(len(rows)):
            for k, (right, left) in enumerate(pairwise(stations)):
                quad = [corner(row, right), corner(row, left), corner(row + 1, left), corner(row + 1, right)]
                self.add(f"{name} {row} {k}", materials[row], "lower", quad, out)
        b, low = rows[2]
        top_b, top = rows[3]
        wide = 0.62 * self.half
        lean = (top_b - b) / max(top - low, 1e-6)

        def panel(y0: float, y1: float, share0: float, share1: float) -> list[tuple[float, float, float]]:
            z0, z1 = low + share0 * (top - low), low + share1 * (top - low)
            x0, x1 = b + lean * (z0 - low), b + lean * (z1 - low)
            return [(x0, y0, z0), (x0, y1, z0), (x1, y1, z1), (x1, y0, z1)]

        if axle == 0:
            self.add("grille", "trim", "lower", panel(-0.72 * wide, 0.72 * wide, 0.18, 0.82), out)
            for sign in (-1.0, 1.0):
                lamp = panel(sign * 0.82 * wide, sign * 1.20 * wide, 0.30, 0.85)
                self.add(f"front lamp {sign:+.0f}", "lamp", "lower", lamp, out)
        else:
            for sign in (-1.0, 1.0):
                lamp = panel(sign * 1.16 * wide, sign * 1.27 * wide, 0.25, 0.92)
                self.add(f"rear lamp {sign:+.0f}", "tail lamp", "lower", lamp, out)
            self.add("number plate", "lamp", "lower", panel(-0.26, 0.26, 0.10, 0.34), out)

    def _spare(self, b: float, height: float) -> None:
        radius, width = 0.92 * self.known.tyre_radius[1], 1.3 * self.known.section_radius[1]
        turn = np.linspace(0.0, 2.0 * np.pi, 33)[:-1]
        ring = np.stack([np.full(32, b), radius * np.cos(turn), height + radius * np.sin(turn)], axis=-1)
        far = ring + np.array([width, 0.0, 0.0])
        for k in range(32):
            quad = [ring[k], ring[k - 1], far[k - 1], far[k]]
            out = (0.0, float(np.cos(turn[k] - np.pi / 32)), float(np.sin(turn[k] - np.pi / 32)))
            self.add(f"spare tread {k}", "tyre", "upper", quad, out)
        self.add("spare", "tyre", "upper", far, (1.0, 0.0, 0.0))
        hub = far.copy()
        hub[:, 1:] = np.array([0.0, height]) + 0.52 * (far[:, 1:] - np.array([0.0, height]))
        self.add("spare cover", "paint", "upper", hub, (1.0, 0.0, 0.0))

    def _bonnet(self, front: Line, cowl_at: float, cowl: float) -> None:
        b, h = front[-1]
        shift, out = self._rounding(0), self._stations(0)[-2][0]
        edge = [(b + shift, -self.half, h), (b, -out, h), (b, out, h), (b + shift, self.half, h)]
        back = [(cowl_at, self.half, cowl), (cowl_at, -self.half, cowl)]
        self.add("bonnet", "paint", "lower", [*edge, *back], (-0.3, 0.0, 1.0))
        inset = 0.80 * self.half
        for sign in (-1.0, 1.0):
            self.seams.append(("bonnet", np.array([(b + 0.03, sign * inset, h), (cowl_at, sign * inset, cowl)])))

    def _upper(self, cowl_at: float, cowl: float, belt: float, roof: float, tail: float) -> None:
        """Windscreen, side windows, roof and rear window; behind a cab the bed."""
        kind, half, scale = self.kind, self.half, self.scale
        end = tail if kind.cab_to is None else min(self.at(kind.cab_to), tail - 0.3)
        lean = kind.tail_lean * scale
        roof_from = max(self.at(kind.roof_from), cowl_at + 0.12)
        roof_to = max(end - lean, roof_from + 0.3)
        foot, shoulder, edge, eaves = 0.95 * half, 0.80 * half, 0.70 * half, roof - 0.06 * scale

        def on_side(b: float, h: float, sign: float) -> tuple[float, float, float]:
            share = (h - min(belt, cowl)) / (eaves - min(belt, cowl))
            return (b, sign * (foot + share * (shoulder - foot)), h)

        for sign, side in ((-1.0, "right"), (1.0, "left")):
            # The shelf from the flank to the foot of the windows.
            rim = [(cowl_at, cowl), (cowl_at + 0.10, belt), (end, belt)]
            shelf = [(b, sign * half, h) for b, h in rim] + [on_side(b, h, sign) for b, h in rim[::-1]]
            self.add(f"{side} shelf", "paint", "lower", shelf, (0.0, 0.0, 1.0))
            ring = [(cowl_at, cowl), (cowl_at + 0.10, belt), (end, belt), (roof_to, eaves), (roof_from, eaves)]
            self.add(f"{side} side", "paint", "upper", [on_side(b, h, sign) for b, h in ring], (0.0, sign, 0.1))
            low, high = belt + 0.035 * scale, eaves - 0.04 * scale
            for k, (begin, finish) in enumerate(kind.panes):
                pane = self._pane(begin, finish, low, high, (cowl_at, cowl, roof_from, eaves), (end, belt, roof_to))
                if pane:
                    corners = [on_side(b, h, sign) for b, h in pane]
                    self.add(f"{side} window {k}", "glass", "upper", corners, (0.0, sign, 0.1))
            gutter = [on_side(roof_from, eaves, sign), on_side(roof_to, eaves, sign)]
            top = [(roof_to - 0.03, sign * edge, roof), (roof_from + 0.06, sign * edge, roof)]
            self.add(f"{side} roof edge", "roof", "upper", [*gutter, *top], (0.0, sign, 1.0))
        screen = [on_side(cowl_at, cowl, -1.0), on_side(cowl_at, cowl, 1.0), on_side(roof_from, eaves, 1.0)]
        screen.append(on_side(roof_from, eaves, -1.0))
        self.add("screen frame", "paint", "upper", screen, (-1.0, 0.0, 0.3))
        self.add("windscreen", "glass", "upper", _inset(screen, 0.05, 0.93), (-1.0, 0.0, 0.3))
        back = [on_side(end, belt, -1.0), on_side(end, belt, 1.0), on_side(roof_to, eaves, 1.0)]
        back.append(on_side(roof_to, eaves, -1.0))
        self.add("back", "paint", "upper", back, (1.0, 0.0, 0.1))
        self.add("rear window", "glass", "upper", _inset(back, 0.10, 0.86), (1.0, 0.0, 0.1))
        front_edge = [(roof_from + 0.06, -edge, roof), (roof_from + 0.06, edge, roof)]
        rear_edge = [(roof_to - 0.03, edge, roof), (roof_to - 0.03, -edge, roof)]
        self.add("roof front", "roof", "upper", [*screen[:1:-1], *front_edge[::-1]], (-0.5, 0.0, 1.0))
        self.add("roof rear", "roof", "upper", [*back[:1:-1], *rear_edge], (0.5, 0.0, 1.0))
        self.add("roof", "roof", "upper", [*front_edge, *rear_edge], (0.0, 0.0, 1.0))
        if kind.cab_to is not None:
            shift = self._rounding(1)
            rail = [(end, -half, belt), (end, half, belt), (tail + shift, half, belt), (tail + shift, -half, belt)]
            self.add("bed rails", "paint", "lower", rail, (0.0, 0.0, 1.0))
            wall = 0.07 * scale
            bed = [(end + wall, half - wall), (tail - wall + shift, half - wall)]
            corners = [(b, y, belt) for b, y in bed] + [(b, -y, belt) for b, y in bed[::-1]]
            self.add("bed", "inside", "lower", corners, (0.0, 0.0, 1.0))

    def _pane(
        self,
        begin: float,
        finish: float,
        low: float,
        high: float,
        screen: tuple[float, float, float, float],
        back: tuple[float, float, float],
    ) -> Line:
        """A side window (b, h) between two places, cut back where screen or tail lean into it; none if too small."""
        cowl_at, cowl, roof_from, eaves = screen
        end, belt, roof_to = back
        margin = 0.05 * self.scale

        def limits(h: float) -> tuple[float, float]:
            ahead = cowl_at + (h - cowl) / (eaves - cowl) * (roof_from - cowl_at) + margin
            behind = end + (h - belt) / (eaves - belt) * (roof_to - end) - margin
            first = ahead if begin == self.kind.panes[0][0] else max(self.at(begin), ahead)
            return max(first, ahead), min(self.at(finish), behind)

        bottom, top = limits(low), limits(high)
        return (
            [(bottom[0], low), (bottom[1], low), (top[1], high), (top[0], high)]
            if bottom[1] - bottom[0] > 0.08 and top[1] - top[0] > 0.04
            else []
        )

    def _underside(self, lanes: dict[int, Array], top: tuple[float, float, float], cowl_at: float) -> None:
        """Floor and sills from below, inner walls up to `top` (bonnet, foot of the windscreen, tail), wheelhouses."""
        inner = self.inner
        for sign in (-1, 1):
            lane = lanes[sign]
            middle = lanes[0]
            ring = [(b, h) for b, h in middle] + [(middle[-1, 0], top[2]), (cowl_at, top[1]), (middle[0, 0], top[0])]
            self.add(f"inner wall {sign:+d}", "inside", "inside", [(b, sign * inner, h) for b, h in ring], (0, 0, 0))
            ahead, first, between, second, behind = self._cut(lane)
            for axle, lip in enumerate((first, second)):
                some = lip[[0, 1, 5, 9, 13, 17, 21, 25, 26]]
                for k, (one, two) in enumerate(pairwise(some)):
                    across = [sign * inner, sign * self.half]
                    house = [(p[0], y, p[1]) for p, y in zip((one, one, two, two), across + across[::-1], strict=True)]
                    self.add(f"wheelhouse {sign:+d} {axle} {k}", "inside", "inside", house, (0, 0, 0))
            pieces = [
                np.concatenate([ahead, first[:1]]),
                np.concatenate([first[-1:], between, second[:1]]),
                np.concatenate([second[-1:], behind]),
            ]
            for k, piece in enumerate(pieces):
                self._strip(f"under {sign:+d} {k}", piece, sign * inner, sign * self.half)
        self._strip("under 0", lanes[0], -inner, inner)

    def _strip(self, name: str, line: Array, right: float, left: float) -> None:
        for k, (one, two) in enumerate(pairwise(line)):
            quad = [(one[0], right, one[1]), (one[0], left, one[1]), (two[0], left, two[1]), (two[0], right, two[1])]
            self.add(f"{name} {k}", "under", "under", quad, (0.0, 0.0, -1.0))

    def _brackets(self) -> None:
        """A part of its own for a point that the body's own surface does not reach."""
        for k, (b, y, h) in enumerate(self.alone):
            inboard = np.sign(y) * min(abs(y), self.half)
            rise = h + 0.12 * self.scale
            corners = [(b, y, h), (b - BRACKET, inboard, rise), (b + BRACKET, inboard, rise)]
            self.add(f"bracket {k}", "trim", "lower", corners, (0.0, 0.0, 0.0))


def _inset(quad: list[tuple[float, float, float]], low: float, high: float) -> Array:
    """A window in a quad that is given from below right, below left, above left to above right."""
    corners = np.array(quad)
    right, left = corners[3] - corners[0], corners[2] - corners[1]
    rows = [(corners[0] + s * right, corners[1] + s * left) for s in (low, high)]
    ends = [(a + 0.05 * (b - a), b - 0.05 * (b - a)) for a, b in rows]
    return np.array([ends[0][0], ends[0][1], ends[1][1], ends[1][0]])
