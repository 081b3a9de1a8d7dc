"""Travel used at each corner against what it has."""

from __future__ import annotations

from collections.abc import Sequence

from matplotlib.patches import Rectangle

from articulate.output.figures import theme
from articulate.output.figures.scene import Scene
from articulate.output.figures.theme import Medium, Picture, hand
from articulate.types import WHEELS

LARGEST_SHARE = 200.0  # [%] drawn; beyond it, and where there is no free travel at all, the words beside the bar tell


def _share(scene: Scene, wheel: int) -> float:
    """Travel at the stop over the gap to the stop it goes towards, [%], bump positive."""
    up = scene.hub_travel[wheel] >= 0.0
    gap, travel = float(scene.bump_gap[wheel] if up else scene.droop_gap[wheel]), float(scene.travel[wheel])
    if abs(travel) * 100.0 >= LARGEST_SHARE * gap:
        return LARGEST_SHARE if up else -LARGEST_SHARE
    return 100.0 * travel / gap


def travel_picture(
    scenes: Sequence[Scene], name: str, medium: Medium = theme.PAGE, transparent: bool = False
) -> Picture:
    """Travel used at the end of each run, as a share of the gap to the stop it goes towards.

    Args:
        scenes: the last moment of each run, bars connected first.
        name: of the vehicle.
        medium: paper, page or video.
        transparent: no background.
    """
    rows = [(wheel, scene) for wheel in range(4) for scene in scenes]
    shares = [_share(scene, wheel) for wheel, scene in rows]
    reach = max(125.0, *(abs(share) for share in shares)) + 4.0
    step, apart = 1.6, 0.9  # type sizes
    tall = len(rows) * step + 4 * apart
    with hand(medium):
        figure = theme.sheet(medium, tall + 12.0, transparent)
        title = f"{name}: travel used at the end of the climb"
        under = ["at the stops, from ride height; the ends of the white field are bump stop and full droop"]
        upper = theme.heading(figure, medium, title, under)
        axes = theme.place(figure, medium, 7.2, 4.4, 1.5, upper - medium.inches(2.0) / figure.get_size_inches()[1])
        column = medium.inches(14.0) / theme.size(axes)[0]
        edge_of_all = reach / (1.0 - 2.0 * column)
        axes.set_xlim(-edge_of_all, edge_of_all)
        axes.set_ylim(tall, 0.0)
        for edge in (-1.0, 1.0):
            axes.axvspan(edge * 100.0, edge * reach, color=theme.RAMP, zorder=0, linewidth=0.0)
            axes.axvline(edge * 100.0, color=theme.INK, linewidth=theme.thick())
        axes.axvline(0.0, color=theme.INK, linewidth=theme.thin())
        for place, words in ((-100.0, "full droop"), (0.0, "ride height"), (100.0, "bump stop")):
            axes.annotate(
                words,
                (place, 1.0),
                xycoords=("data", "axes fraction"),
                xytext=(0.0, medium.points(0.4)),
                textcoords="offset points",
                ha="center",
                va="bottom",
                annotation_clip=False,
            )
        said = []
        for k, ((wheel, scene), share) in enumerate(zip(rows, shares, strict=True)):
            y = k * step + (wheel + 0.5) * apart + step / 2.0
            released = scene.bars == "released"
            colour = theme.WHEEL_COLOURS[wheel]
            bar = Rectangle(
                (0.0, y - 0.72 * step / 2.0),
                share,
                0.72 * step,
                facecolor=theme.PAPER_WHITE if released else colour,
                edgecolor=colour,
                hatch="////" if released else None,
                zorder=3,
            )
            axes.add_artist(bar)  # the limits are set: `barh` would look for them
            gap = scene.bump_gap[wheel] if share >= 0.0 else scene.droop_gap[wheel]
            used, lengths = abs(float(scene.travel[wheel])), medium.lengths
            words = f"{lengths.number(used)} of {lengths.one(float(gap))}, {scene.bars}"
            place = reach + 1.5 if share >= 0.0 else -reach - 1.5
            axes.text(place, y, words, ha="left" if share >= 0.0 else "right", va="center", zorder=4)
            said.append(f"{WHEELS[wheel]} {'bump' if share >= 0.0 else 'droop'} {words}")
        count = len(scenes)
        middles = [(w * count + count / 2.0) * step + (w + 0.5) * apart for w in range(4)]
        axes.set_yticks(middles, WHEELS)
        for label, colour in zip(axes.get_yticklabels(), theme.WHEEL_COLOURS, strict=True):
            label.set_color(colour)
        axes.tick_params(axis="y", length=0.0)
        axes.set_xticks([-100, -50, 0, 50, 100], ["100 %", "50 %", "0", "50 %", "100 %"])
        for place, words in ((-50.0, "droop used"), (50.0, "bump used")):
            axes.annotate(
                words,
                (place, 0.0),
                xycoords=("data", "axes fraction"),
                xytext=(0.0, -medium.points(2.7)),
                textcoords="offset points",
                ha="center",
                va="center",
                annotation_clip=False,
            )
        axes.spines["left"].set_visible(False)
        axes.spines["bottom"].set_bounds(-reach, reach)
        return Picture(figure, medium, title, ". ".join(said) + ".", transparent)
