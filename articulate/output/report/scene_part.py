"""What the scene in three dimensions is drawn from: meshes of the body once, and of each solved step what moves.

The page's script interpolates and draws; every place in it is one of `Scene`'s, in whole millimetres. What the plain
drawing has as well (hubs, loads, the body's pose, travel) stands once, in `climb_data`.
"""

from __future__ import annotations

import base64
import gzip
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any

import numpy as np
from numpy.typing import NDArray

from articulate.output.figures import theme
from articulate.output.figures.body import COLOURS, CREASE, EDGE, SHADED
from articulate.output.figures.drawing import RAMP_HALF_WIDTH
from articulate.output.figures.scene import Scene
from articulate.output.figures.wheels import bar_lines
from articulate.shape.outline import Face
from articulate.types import lateral_sign

Array = NDArray[np.float64]

UPON = ("glass", "lamp", "tail lamp")  # materials of faces that lie upon another
UPON_NAMES = ("grille", "bed", "spare cover")
BEYOND = 0.5  # [m] of ramp behind the last climbing wheel, where its length is not known
PARTS = ("inside", "under", "lower", "upper")


@dataclass(frozen=True)
class PackedLibrary:
    """The drawing library as a page carries it: packed, and the script that comes out."""

    packed: str  # gzip, base64
    script: str


@cache
def library() -> PackedLibrary:
    """What `scripts/scene_library` made: packed a quarter as large, and unpacked only where a scene is looked at."""
    data = resources.files("articulate.output.report").joinpath("templates", "scene_library.js.gz").read_bytes()
    return PackedLibrary(base64.b64encode(data).decode("ascii"), gzip.decompress(data).decode("utf-8"))


def millimetres(values: object) -> list[Any]:
    """Lengths [m] to whole millimetres."""
    listed: list[Any] = np.round(np.asarray(values, dtype=np.float64) * 1000.0).astype(int).tolist()
    return listed


def steps(values: object, digits: int = 0) -> dict[str, Any]:
    """Numbers along a run, (steps, k), as whole ones of so many digits: the first row, then what each adds.

    Neighbouring steps differ little, so this is half as long; `page.climb` of the page's script reads it.
    """
    whole = np.round(np.asarray(values, dtype=np.float64) * 10.0**digits).astype(int)
    return {"digits": digits, "rows": np.concatenate([whole[:1], np.diff(whole, axis=0)]).tolist()}


def along(values: object, digits: int = 0) -> dict[str, Any]:
    """Lengths [m] along a run as `steps` of millimetres."""
    return steps(np.asarray(values, dtype=np.float64) * 1000.0, digits)


def ring(face: Face) -> Array:
    """Corners of a face, counter-clockwise as its outward side is seen, (k, 3) [m]."""
    points = face.points
    following = np.roll(points, -1, axis=0)
    area = np.cross(points, following).sum(axis=0)
    return points[::-1] if float(area @ face.normal) < 0.0 else points


def _face(face: Face) -> list[int]:
    """Material, part, whether upon another, whether both sides are seen; a corner and the ways to the next [mm]."""
    upon = face.material in UPON or face.name in UPON_NAMES
    both = not face.normal.any()
    head = [list(COLOURS).index(face.material), PARTS.index(face.part), int(upon), int(both)]
    corners = np.array(millimetres(ring(face)))
    return [*head, *np.concatenate([corners[:1], np.diff(corners, axis=0)]).ravel().tolist()]


def mesh_data(scene: Scene, ramp_end: float) -> dict[str, Any]:
    """What does not move, once a vehicle: faces and seams of the body in its coordinates, ramp, colours.

    Args:
        scene: at the first moment of a climb.
        ramp_end: how far along the slope the ramp is drawn, unless it ends sooner [m].
    """
    outline = scene.outline
    return {
        "colours": [COLOURS[material] for material in COLOURS],
        "lit": [material in SHADED for material in COLOURS],
        "hand": {
            "edge": EDGE,
            "crease": CREASE,
            "ramp": theme.RAMP,
            "ramp_side": theme.RAMP_SIDE,
            "bar": theme.PURPLE,
            "film": theme.ORANGE,
            "ink": theme.INK,
            "muted": theme.MUTED,
        },
        "wheel_colours": list(theme.WHEEL_COLOURS),
        "faces": [_face(face) for face in outline.faces],
        "seams": [millimetres(line.ravel()) for _, line in outline.seams],
        "lane": round(1000.0 * float(scene.contact[scene.ramp_wheel, 1])),  # middle of the ramp
        "ramp_half_width": millimetres(RAMP_HALF_WIDTH),
        "ramp_length": millimetres(min(ramp_end + BEYOND, scene.ramp_length)),
        "outward": int(lateral_sign(scene.side)),
    }


def step_data(scenes: Sequence[Scene]) -> dict[str, Any]:
    """What moves, at each solved step of a run [mm]; it stands beside what the plain drawing is made from.

    Args:
        scenes: along the run.

    Returns:
        `steps` of contact (12), inner_end of the carriers (12), spring (24, lower and upper end), room (8,
        first to the bump stops, then to the droop stops), across (how far left each body point is), and bar (18 an
        axle that has one: end, support, support, end, the feet of its links).
    """
    fitted = [axle for axle in (0, 1) if scenes[0].bar_fitted[axle]]
    bars = [
        np.concatenate([line, links[:, :, 1]], axis=1) for line, links in (bar_lines(scenes, one) for one in fitted)
    ]
    room = [np.concatenate([s.bump_gap - s.travel, s.droop_gap + s.travel]) for s in scenes]
    return {
        "contact": along([scene.contact.ravel() for scene in scenes]),
        "inner_end": along([scene.carrier[:, 1].ravel() for scene in scenes]),
        "spring": along([scene.spring.ravel() for scene in scenes]),
        "bar": along(np.concatenate([np.empty((len(scenes), 0, 3)), *bars], axis=1).reshape(len(scenes), -1)),
        "room": along(np.clip(room, -1.0, 1.0)),  # a stop that is nowhere near is drawn a metre away
        "across": along([scene.point[:, 1] for scene in scenes]),
    }
