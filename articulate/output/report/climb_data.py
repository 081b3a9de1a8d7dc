"""The climb as data for the moving picture: per bar state, the scene at every solved step."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from articulate.output.figures.drawing import RAMP_HALF_WIDTH, ramp_cuts
from articulate.output.figures.scene import Scene
from articulate.output.figures.wheels import ARROW_PER_NEWTON
from articulate.output.report.scene_part import along, mesh_data, millimetres, step_data, steps
from articulate.output.text.prediction import limited_by
from articulate.prediction import Prediction, Run
from articulate.types import WHEELS, each_state

ROOM = 0.12  # [m], round what moves


def _run_data(run: Run, scenes: Sequence[Scene]) -> dict[str, Any]:
    lean = [[math.atan2(a[2], a[1]) for a in scene.axle_direction] for scene in scenes]
    return {
        "bars": run.bars,
        "ends": limited_by(run),
        "lifts": run.wheel,
        "climb": [round(scene.climb, 5) for scene in scenes],
        "stop": [
            [1 if bump else -1 if droop else 0 for bump, droop in zip(scene.bump_met, scene.droop_met, strict=True)]
            for scene in scenes
        ],
        "roll": np.round(np.degrees([scene.roll for scene in scenes]), 2).tolist(),
        "pitch": np.round(np.degrees([scene.pitch for scene in scenes]), 2).tolist(),
        "tipping": np.round(np.degrees([scene.tipping_angle for scene in scenes]), 1).tolist(),
        "events": [{"climb": round(event.climb, 5), "what": event.what} for event in run.events],
        "bar_free": [bool(free) for free in scenes[0].bar_free[scenes[0].bar_fitted]],
        "along": {
            "hub": along([scene.hub.ravel() for scene in scenes]),
            "lean": steps(lean, 4),
            "load": steps([scene.load for scene in scenes], 2),  # shown in whole newtons, rounded once
            "travel": along([scene.hub_travel for scene in scenes]),
            "origin": along([scene.body_origin for scene in scenes], 1),
            "axes": steps([scene.body_axes.ravel() for scene in scenes], 4),
            "cut": along([ramp_cuts(scene).ravel() for scene in scenes]),
            "point": along([scene.point[:, [0, 2]].ravel() for scene in scenes]),
            **step_data(scenes),
        },
    }


def _frame(low: Sequence[float], high: Sequence[float]) -> list[int]:
    """Left, bottom, width and height [mm] of what holds both corners [m]."""
    return millimetres([low[0] - ROOM, low[1] - ROOM, high[0] - low[0] + 2 * ROOM, high[1] - low[1] + 2 * ROOM])


def _from_ramp_side(
    low: tuple[float, float], high: tuple[float, float], ramp_wheel: int
) -> tuple[tuple[float, float], tuple[float, float]]:
    """The same corners seen from the ramp's side: on the left, forward is to the left."""
    return (low, high) if ramp_wheel == 1 else ((-high[0], low[1]), (-low[0], high[1]))


def climb_data(prediction: Prediction, scenes: Mapping[str, Sequence[Scene]]) -> dict[str, Any]:
    """Everything the moving picture shows; lengths in mm, climbs in m, loads in N, angles in degrees.

    Args:
        prediction: of the vehicle.
        scenes: by bar state, the scenes along each run.
    """
    runs = each_state(prediction)
    every = [scene for run in runs for scene in scenes[run.bars]]
    radius, section = every[0].tyre_radius, every[0].section_radius
    hubs = np.array([scene.hub for scene in every])
    body = np.concatenate([face.points for face in every[0].outline.faces])
    bodies = np.array([scene.placed(body) for scene in every])
    reach = float(radius.max())
    end = max(scene.climb for scene in every) + reach
    seen = np.concatenate([bodies.reshape(-1, 3), *(scene.point for scene in every)])
    pushed = max(float(scene.load.max()) for scene in every) * ARROW_PER_NEWTON
    side_low = (min(hubs[..., 0].min() - reach, seen[:, 0].min()), -pushed)
    side_high = (
        max(seen[:, 0].max(), end * math.cos(prediction.angle)),
        max(seen[:, 2].max(), hubs[..., 2].max() + reach),
    )
    lane = max(float(np.abs(scene.contact[every[0].ramp_wheel :: 2, 1]).max()) for scene in every) + RAMP_HALF_WIDTH
    half = max(np.abs(bodies[..., 1]).max(), np.abs(hubs[..., 1]).max() + 2.0 * float(section.max()), lane)
    return {
        "angle": prediction.angle,
        "wheelbase": prediction.wheelbase,
        "ramp_end": round(end, 3),
        "ramp_wheel": every[0].ramp_wheel,
        "wheels": list(WHEELS),
        "radius": millimetres(radius),
        "section": millimetres(section),
        "ramp_half_width": round(RAMP_HALF_WIDTH * 1000.0),
        "solid": [bool(one) for one in every[0].solid],
        "points": list(every[0].points),
        "arrow": ARROW_PER_NEWTON * 1000.0,  # [mm/N]
        "most_load": float(max(scene.load.max() for scene in every)),
        "side": _frame(*_from_ramp_side(side_low, side_high, every[0].ramp_wheel)),
        "behind": _frame((-half, -pushed), (half, max(bodies[..., 2].max(), side_high[1]))),
        "mesh": mesh_data(every[0], end),
        "runs": [_run_data(run, scenes[run.bars]) for run in runs],
    }
