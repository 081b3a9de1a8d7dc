"""`draw`, `animate`: one figure of a vehicle, and its climb in motion."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from articulate.brief import Brief
from articulate.cli.app import (
    Answer,
    Replace,
    Settings,
    Units,
    VehicleFile,
    app,
    build_or_stop,
    lengths_for,
    load_spec,
    read_option,
    save,
    stop,
)
from articulate.cli.figure_options import noted, picture_answer, read_medium, words_of
from articulate.cli.places import AS_FILED, GatheringCommand
from articulate.cli.ramp_options import (
    Friction,
    HoldingShare,
    RampAngle,
    RampLength,
    ReleasedOn,
    Side,
    TouchLoad,
    check_bars,
    read_ramp,
    read_release_on,
)

if TYPE_CHECKING:
    from articulate.model.ramp_test import RampTest
    from articulate.model.vehicles import Vehicles
    from articulate.output.figures.scene import Scene
    from articulate.output.figures.theme import Medium, Picture
    from articulate.output.text.conditions import Stated
    from articulate.prediction import Prediction, Run
    from articulate.shape.outline import BodyOutline
    from articulate.studies.typed import TypedRamp
    from articulate.trace import BodyPoint

AS_SHOWN = 0.51e-3  # [m]; climbs are shown in whole millimetres
WHAT = ("vehicle", "loads", "travel", "support")


@dataclass(frozen=True, eq=False, repr=False)
class Drawn(Brief):
    """A vehicle with its prediction, ready to be drawn."""

    name: str
    held: Stated
    vehicle: Vehicles
    test: RampTest
    prediction: Prediction
    points: tuple[BodyPoint, ...]
    outline: BodyOutline

    def run(self, bars: str) -> Run:
        """The run with the bars connected or released, or stop."""
        if bars == "connected":
            return self.prediction.connected
        if self.prediction.released is None:
            stop(f"--bars released: {self.name} has no bar that can be released; --bars connected")
        _stands_or_stop(self.name, self.prediction.released)
        return self.prediction.released

    def scene(self, run: Run, at: float | str = "lift") -> Scene:
        """The moment asked for: `toe`, `lift`, or a climb along the slope [m]."""
        import numpy as np

        from articulate.output.figures.scene import scenes
        from articulate.studies.day.moments import at_climbs

        begin, end = float(run.trace.climb[0]), float(run.trace.climb[-1])
        climb = {"toe": begin, "lift": end}[at] if isinstance(at, str) else at
        if climb < begin - AS_SHOWN:
            stop(
                f"--at {climb * 1000.0:.0f} mm: the tyre first touches the ramp at {begin * 1000.0:.0f} mm; "
                f"give a climb from there to {end * 1000.0:.0f} mm, toe or lift"
            )
        if climb > end + AS_SHOWN:
            stop(
                f"--at {climb * 1000.0:.0f} mm: the run with bars {run.bars} ends at {end * 1000.0:.0f} mm "
                f"({run.outcome.meaning}); give less, or lift"
            )
        climb = min(max(climb, begin), end)
        moments = at_climbs(self.vehicle, self.test, self.prediction.side, run, np.array([climb]))
        return scenes(moments, self.points, self.outline)[0]


def draw_from(vehicle: Path, settings: list[str] | None, ramp: TypedRamp, side: str, units: str) -> Drawn:
    """Read and predict, or stop."""
    from articulate.output.figures.scene import outline_of
    from articulate.output.text.conditions import stated
    from articulate.prediction import predict

    spec = load_spec(vehicle, settings)
    arrays, bodywork, points = build_or_stop(vehicle, spec)
    test = ramp.test()
    prediction = predict(arrays, test, side, bodywork.arch_gap, points)
    _stands_or_stop(spec.name, prediction.connected)
    outline = outline_of(arrays, points, bodywork.arch_gap, spec)
    held = stated(ramp.conditions(), side, [spec], lengths=lengths_for(units, [spec]))
    return Drawn(spec.name, held, arrays, test, prediction, points, outline)


def _stands_or_stop(name: str, run: Run) -> None:
    from articulate.climb import CANNOT_STAND

    if run.outcome in CANNOT_STAND:
        stop(f"nothing to draw of {name}, bars {run.bars}: {run.outcome.meaning}")


@app.command(cls=GatheringCommand)
def draw(
    vehicle: VehicleFile,
    output: Annotated[Path, typer.Option(help="File to write: .svg or .png; - prints the SVG.")],
    what: Annotated[str, typer.Option(help=f"{', '.join(WHAT)}.")] = "vehicle",
    view: Annotated[str, typer.Option(help="Of the vehicle: side, rear, front, top, three-quarter.")] = "side",
    bars: Annotated[str, typer.Option(help="connected or released.")] = "connected",
    at: Annotated[str, typer.Option(help="Moment: toe, lift, or a climb along the slope, e.g. '900 mm'.")] = "lift",
    medium: Annotated[
        str,
        typer.Option(help="paper (160 mm), page (1200 px), video (1920x1080), square, upright (1080x1920)."),
    ] = "page",
    transparent: Annotated[bool, typer.Option("--transparent", help="No background.")] = False,
    words: Annotated[
        Path | None, typer.Option(help="Also write what the picture says: caption and text for the blind, .json.")
    ] = None,
    ramp_angle: RampAngle = "20 deg",
    side: Side = "left",
    touch_load: TouchLoad = "0 N",
    holding_share: HoldingShare = None,
    ramp_length: RampLength = None,
    friction: Friction = None,
    settings: Settings = None,
    units: Units = AS_FILED,
    replace: Replace = False,
) -> None:
    """Draw the vehicle on the ramp to scale, or one of its diagrams.

    Example: articulate draw vehicle_specs_demo/wagon.toml --view rear --output wagon_rear.svg
    """
    from articulate.output.figures.vehicle import VIEWS

    faults: list[str] = []
    form = "svg" if str(output) == "-" else output.suffix.lower().removeprefix(".")
    if form not in ("svg", "png"):
        faults.append(f"--output {output}: the name must end in .svg or .png")
    if what not in WHAT:
        faults.append(f"--what {what}: not a figure; {', '.join(WHAT)}")
    if words is not None and words.suffix.lower() != ".json":
        faults.append(f"--words {words}: the name must end in .json")
    if view not in VIEWS:
        faults.append(f"--view {view}: not a view; {', '.join(VIEWS)}")
    check_bars(bars, faults)
    size = read_medium(medium, faults, of_vehicle=what == "vehicle")
    moment = None if at in ("toe", "lift") else read_option("--at", at, "LENGTH", faults)
    ramp = read_ramp(faults, ramp_angle, side, touch_load, holding_share, ramp_length, friction=friction)
    drawn = draw_from(vehicle, settings, ramp, side, units)
    when = at if moment is None else moment.value
    picture = noted(drawn.held, size, lambda room: _picture(drawn, what, view, bars, when, room, transparent))
    answers = [picture_answer("--output", output, picture)]
    if words is not None:
        answers.append(Answer("--words", words, words_of(picture)))
    save(answers, replace)


def _picture(
    drawn: Drawn, what: str, view: str, bars: str, at: float | str, medium: Medium, transparent: bool
) -> Picture:
    from articulate.output.figures.loads import loads_picture
    from articulate.output.figures.support import support_picture
    from articulate.output.figures.travel import travel_picture
    from articulate.output.figures.vehicle import vehicle_picture

    if what == "loads":
        return loads_picture(drawn.prediction, drawn.name, medium, transparent)
    if what == "travel":
        runs = [run for run in (drawn.prediction.connected, drawn.prediction.released) if run is not None]
        return travel_picture([drawn.scene(run) for run in runs], drawn.name, medium, transparent)
    run = drawn.run(bars)
    scene = drawn.scene(run, at)
    if what == "support":
        return support_picture(scene, drawn.name, medium, transparent)
    lifting = run.wheel if scene.climb >= run.trace.climb[-1] else -1
    return vehicle_picture(scene, drawn.name, view, medium, lifting, transparent)


@app.command(cls=GatheringCommand)
def animate(
    vehicle: VehicleFile,
    output: Annotated[Path, typer.Option(help="File to write: .gif, or .mp4 where ffmpeg is installed.")],
    release_on: ReleasedOn = "floor",
    ramp_angle: RampAngle = "20 deg",
    side: Side = "left",
    touch_load: TouchLoad = "0 N",
    holding_share: HoldingShare = None,
    ramp_length: RampLength = None,
    friction: Friction = None,
    settings: Settings = None,
    units: Units = AS_FILED,
    replace: Replace = False,
) -> None:
    """Show the test in motion: up the ramp, the bars released on the floor or there, and to the second mark.

    Example: articulate animate vehicle_specs_demo/wagon.toml --output wagon.gif
    """
    import shutil
    import sys
    from dataclasses import replace as changed

    from articulate.output.animation import SMALL, NoEncoderError, gif, mp4, shots, with_cards
    from articulate.output.figures.theme import VIDEO
    from articulate.output.text.conditions import condition_notes
    from articulate.studies.day.moving_climb import moving_climb

    faults: list[str] = []
    form = output.suffix.lower().removeprefix(".")
    if form not in ("gif", "mp4"):
        faults.append(f"--output {output}: the name must end in .gif or .mp4")
    if form == "mp4" and shutil.which("ffmpeg") is None:
        faults.append(f"--output {output}: an MP4 film needs ffmpeg, which is not on this machine; write a .gif")
    place = read_release_on(release_on, faults)
    ramp = read_ramp(faults, ramp_angle, side, touch_load, holding_share, ramp_length, friction=friction)
    assert place is not None
    drawn = draw_from(vehicle, settings, ramp, side, units)
    stages = moving_climb(drawn.vehicle, drawn.test, drawn.prediction, release_on=place)
    pictured = with_cards(shots(stages, outline=drawn.outline), stages)

    def progress(done: int, count: int) -> None:
        if sys.stderr.isatty():
            typer.echo(f"\rframe {done} of {count}", err=True, nl=done == count)

    try:
        notes = condition_notes(changed(drawn.held, also=(f"bars released on the {place}",)))
        make, size = (gif, SMALL) if form == "gif" else (mp4, VIDEO)
        size = changed(size, lengths=drawn.held.lengths)
        data = make(pictured, drawn.name, size, progress=progress, notes=notes)
    except NoEncoderError as error:
        stop(f"--output {output}: {error}", 1)
    save([Answer("--output", output, data)], replace)
