"""`draw`, `animate`: one figure of a vehicle, and its climb in motion."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, NamedTuple

import typer

from articulate.brief import Brief
from articulate.cli.app import Answer, app, save
from articulate.cli.figure_options import as_words, picture_answer, read_medium, words_of
from articulate.cli.groups import grouped
from articulate.cli.options import Files, VehicleFile
from articulate.cli.places import GatheringCommand
from articulate.cli.ramp_options import ExactRamp, ReleasedOn, check_bars, read_release_on
from articulate.cli.reading import build_or_stop, lengths_for, read_option, read_spec, stop, told_apart

if TYPE_CHECKING:
    from articulate.model.ramp_test import RampTest
    from articulate.model.vehicles import Vehicles
    from articulate.output.figures.scene import Scene
    from articulate.output.figures.theme import Medium, Picture
    from articulate.output.film.shots import Runner, Shot
    from articulate.output.photograph.read import Photograph
    from articulate.output.text.conditions import Stated
    from articulate.prediction import Prediction, Run
    from articulate.shape.outline import BodyOutline
    from articulate.spec import VehicleSpec
    from articulate.studies.day.moving_climb import ReleaseOn
    from articulate.studies.predict.band import Band
    from articulate.studies.typed import TypedRamp
    from articulate.trace import BodyPoint

AS_SHOWN = 0.51e-3  # [m]; climbs are shown in whole millimetres
WHAT = ("vehicle", "loads", "travel", "support")
TURNS = ("in turn", "connected", "released", "side by side")

Words = Annotated[Path | None, typer.Option(help="Also write what it says: caption and text for the blind, .json.")]
Transparent = Annotated[bool, typer.Option("--transparent", help="No background.")]


@dataclass(frozen=True)
class DrawingOptions:
    """What of a vehicle is drawn, when, and for whom."""

    what: Annotated[str, typer.Option(help=f"{', '.join(WHAT)}.")] = "vehicle"
    view: Annotated[str, typer.Option(help="Of the vehicle: side, rear, front, top, three-quarter.")] = "side"
    bars: Annotated[str, typer.Option(help="connected or released.")] = "connected"
    at: Annotated[str, typer.Option(help="Moment: toe, lift, or a climb along the slope, e.g. '900 mm'.")] = "lift"
    medium: Annotated[
        str,
        typer.Option(help="paper (160 mm), page (1200 px), video (1920x1080), square, upright (1080x1920)."),
    ] = "page"
    transparent: Transparent = False
    words: Words = None

    def check(self, faults: list[str]) -> None:
        """Note every choice that there is not."""
        from articulate.output.figures.vehicle import VIEWS

        if self.what not in WHAT:
            faults.append(f"--what {self.what}: not a figure; {', '.join(WHAT)}")
        if self.view not in VIEWS:
            faults.append(f"--view {self.view}: not a view; {', '.join(VIEWS)}")
        check_words(self.words, faults)
        check_bars(self.bars, faults)

    def moment(self, faults: list[str]) -> float | str:
        """The moment asked for: `toe`, `lift`, or a climb [m]."""
        if self.at in ("toe", "lift"):
            return self.at
        climb = read_option("--at", self.at, "LENGTH", faults)
        return "lift" if climb is None else climb.value


@dataclass(frozen=True)
class PhotographOptions:
    """A photograph behind the drawing, and where points lie in it."""

    photograph: Annotated[
        Path | None, typer.Option(help="Lay the prediction over this picture, taken square to the ramp's side.")
    ] = None
    point: Annotated[
        list[str] | None,
        typer.Option(
            metavar="NAME=X,Y",
            help="Where a point lies in it [px, right and down]: 'front hub=812,640', rear hub, mark, toe, or a "
            "named point of the body; two or more.",
        ),
    ] = None

    def read(self, seen: DrawingOptions, faults: list[str]) -> Photograph | None:
        """The photograph and the points; what is wrong, or does not go with it, goes to the faults."""
        from articulate.output.photograph.read import FORM, Photograph, PhotographError, read_photograph, read_points

        points = read_points(self.point or [], faults)
        if self.photograph is None:
            if self.point:
                faults.append("--point: of no picture; name one with --photograph, or leave it out")
            return None
        if not self.point:
            faults.append(f"--photograph {self.photograph}: nothing is known of it; {FORM}")
        alone = {"--what": (seen.what, "vehicle"), "--view": (seen.view, "side"), "--medium": (seen.medium, "page")}
        for option, (given, needed) in alone.items():
            if given != needed:
                faults.append(f"{option} {given}: a photograph is drawn over as it is, from the side; leave it out")
        if seen.transparent:
            faults.append("--transparent: the photograph is the background; leave it out")
        try:
            return Photograph(read_photograph(self.photograph), points)
        except PhotographError as error:
            faults.append(f"--photograph {self.photograph}: {error}")
            return None


@dataclass(frozen=True)
class FilmOptions:
    """What a film shows and for whom."""

    bars: Annotated[
        str, typer.Option(help="in turn (the whole test), connected, released, or side by side (on one clock).")
    ] = "in turn"
    beside: Annotated[
        Path | None, typer.Option(help="Another vehicle file: both drive up equally fast, side by side.")
    ] = None
    release_on: ReleasedOn = "floor"
    medium: Annotated[
        str, typer.Option(help="page (960x540, with loads), video (1920x1080), square, upright (1080x1920).")
    ] = "page"
    transparent: Transparent = False
    words: Words = None

    @property
    def whole(self) -> bool:
        """Whether the whole test of one vehicle is shown."""
        return self.bars == "in turn" and self.beside is None

    def check(self, form: str, output: Path, faults: list[str]) -> None:
        """Note every choice that there is not, and those that do not go together."""
        from articulate.output.film.encode import BY_FFMPEG, CLEAR_BEHIND, FORMS, no_encoder
        from articulate.output.film.sheet import MEDIA

        if form not in FORMS:
            faults.append(f"--output {output}: the name must end in {', '.join(f'.{one}' for one in FORMS)}")
        elif form in BY_FFMPEG and not encoder_is_there():
            faults.append(f"--output {output}: {no_encoder(f'.{form}')}")
        if self.transparent and form in FORMS and form not in CLEAR_BEHIND:
            works = " or ".join(f".{one}" for one in CLEAR_BEHIND)
            faults.append(f"--transparent: a .{form} film has no clear background; write {works}")
        if self.medium not in MEDIA:
            faults.append(f"--medium {self.medium}: not a medium of films; {', '.join(MEDIA)}")
        if self.bars not in TURNS:
            faults.append(f"--bars {self.bars}: not a way to show the bars; {', '.join(TURNS)}")
        elif self.beside is not None and self.bars == "side by side":
            faults.append("--bars side by side: two vehicles are side by side already; --bars connected or released")
        if self.release_on != "floor" and not self.whole:
            faults.append(f"--release-on {self.release_on}: no bars are released in this film; leave it out")
        check_words(self.words, faults)


class Made(NamedTuple):
    """The frames of a film, and whose runs they show."""

    pictured: list[Shot]
    runs: list[tuple[str, Run]]


def check_words(path: Path | None, faults: list[str]) -> None:
    """Note a file for words that is none."""
    if path is not None and path.suffix.lower() != ".json":
        faults.append(f"--words {path}: the name must end in .json")


def encoder_is_there() -> bool:
    """Whether this machine has the program that makes MP4 and MOV."""
    import shutil

    return shutil.which("ffmpeg") is not None


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

    @cached_property
    def band(self) -> Band:
        """Its scores with what 90 % of tests lie in, as `predict` says it."""
        from articulate.studies.population.runs import Population
        from articulate.studies.predict.band import band

        return band(Population.of(self.held.specs[0], self.held.conditions), self.held.side)

    def ranges(self, seen: DrawingOptions) -> str:
        """That a figure is predicted, and what 90 % of the scores of the runs it shows lie in."""
        from articulate.output.text.band import lies_in

        shown = [case.case.bars for case in self.band.cases] if seen.what in ("loads", "travel") else [seen.bars]
        lie = [f"{lies_in(self.band, bars)} with the bars {bars}" for bars in shown]
        return f"predicted; 90 % of scores lie in {', in '.join(lie)}"

    def runner(self, bars: str) -> Runner:
        """The run with the bars connected or released, to be shown beside another, or stop."""
        from articulate.output.film.shots import Runner

        return Runner(self.name, self.vehicle, self.test, self.prediction.side, self.run(bars), self.outline)

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


def _predicted(vehicle: Path, spec: VehicleSpec, ramp: TypedRamp, side: str, units: str) -> Drawn:
    """Predict, or stop."""
    from articulate.output.figures.scene import outline_of
    from articulate.output.text.conditions import stated
    from articulate.prediction import predict

    arrays, body = build_or_stop(vehicle, spec)
    test = ramp.test()
    prediction = predict(arrays, test, side, body)
    _stands_or_stop(spec.name, prediction.connected)
    outline = outline_of(arrays, body.points, body.arch_gap, spec)
    held = stated(ramp.conditions(), side, [spec], lengths=lengths_for(units, [spec]))
    return Drawn(spec.name, held, arrays, test, prediction, body.points, outline)


def _stands_or_stop(name: str, run: Run) -> None:
    from articulate.climb import CANNOT_STAND

    if run.outcome in CANNOT_STAND:
        stop(f"nothing to draw of {name}, bars {run.bars}: {run.outcome.meaning}")


@app.command(cls=GatheringCommand)
@grouped
def draw(
    *,
    vehicle: VehicleFile,
    output: Annotated[Path, typer.Option(help="File to write: .svg or .png; - prints the SVG.")],
    seen: DrawingOptions,
    behind: PhotographOptions,
    typed: ExactRamp,
    files: Files,
) -> None:
    """Draw the vehicle on the ramp to scale, or one of its diagrams.

    Example: articulate draw vehicle_specs_demo/wagon.toml --view rear --output wagon_rear.svg
    """
    faults: list[str] = []
    form = "svg" if str(output) == "-" else output.suffix.lower().removeprefix(".")
    if form not in ("svg", "png"):
        faults.append(f"--output {output}: the name must end in .svg or .png")
    seen.check(faults)
    size = read_medium(seen.medium, faults, of_vehicle=seen.what == "vehicle")
    moment = seen.moment(faults)
    photograph = behind.read(seen, faults)
    ramp, spec = typed.read_with(vehicle, files.settings, faults)
    drawn = _predicted(vehicle, spec, ramp, typed.side, files.units)
    if photograph is not None:
        _draw_over(drawn, seen, moment, photograph, output, files.replace)
        return
    from articulate.output.figures.conditions import figure_with_conditions
    from articulate.output.figures.theme import AUDIENCE

    first = [] if size.name in AUDIENCE else [drawn.ranges(seen)]  # an audience has it in the message
    picture = figure_with_conditions(drawn.held, size, lambda room: _picture(drawn, seen, moment, room), first)
    answers = [picture_answer("--output", output, picture)]
    if seen.words is not None:
        answers.append(Answer("--words", seen.words, words_of(picture)))
    save(answers, files.replace)


def _draw_over(
    drawn: Drawn,
    seen: DrawingOptions,
    at: float | str,
    photograph: Photograph,
    output: Path,
    replace: bool,
) -> None:
    """The prediction over a photograph; how the two differ is printed, beside an SVG on standard output as a note."""
    from articulate.output.layout import wrapped
    from articulate.output.photograph.fit import UnfitError, fit
    from articulate.output.photograph.overlay import laid_data, laid_over, laid_words
    from articulate.output.text.band import lies_in
    from articulate.output.text.conditions import condition_notes

    run = drawn.run(seen.bars)
    scene = drawn.scene(run, at)
    try:
        found = fit(scene, photograph.points, photograph.image.size)
    except UnfitError as error:
        stop(f"--point {error}")
    lifting = run.wheel if scene.climb >= run.trace.climb[-1] else -1
    lengths = drawn.held.lengths
    lie = lies_in(drawn.band, run.bars) if lifting >= 0 else ""
    laid = laid_over(scene, drawn.name, photograph.image, found, lengths, lifting, lie)
    picture = laid.noted(condition_notes(drawn.held))
    answers = [picture_answer("--output", output, picture)]
    if seen.words is not None:
        answers.append(Answer("--words", seen.words, words_of(picture, laid_over=laid_data(found))))
    save(answers, replace)
    for line in laid_words(found, scene.wheelbase, lengths):
        typer.echo(wrapped(line.strip(), "  ", "  " if line.startswith(" ") else ""), err=str(output) == "-")


def _picture(drawn: Drawn, seen: DrawingOptions, at: float | str, medium: Medium) -> Picture:
    from articulate.output.figures.loads import loads_picture
    from articulate.output.figures.support import support_picture
    from articulate.output.figures.travel import travel_picture
    from articulate.output.figures.vehicle import vehicle_picture
    from articulate.output.text.band import lies_in
    from articulate.types import each_state

    if seen.what == "loads":
        return loads_picture(drawn.prediction, drawn.name, medium, seen.transparent)
    if seen.what == "travel":
        scenes = [drawn.scene(run) for run in each_state(drawn.prediction)]
        return travel_picture(scenes, drawn.name, medium, seen.transparent)
    run = drawn.run(seen.bars)
    scene = drawn.scene(run, at)
    if seen.what == "support":
        return support_picture(scene, drawn.name, medium, seen.transparent)
    lifting = run.wheel if scene.climb >= run.trace.climb[-1] else -1
    lie = lies_in(drawn.band, run.bars) if lifting >= 0 else ""
    return vehicle_picture(scene, drawn.name, seen.view, medium, lifting, seen.transparent, lie)


@app.command(cls=GatheringCommand)
@grouped
def animate(
    *,
    vehicle: VehicleFile,
    output: Annotated[
        Path, typer.Option(help="File to write: .gif; .mp4 or .mov where ffmpeg is installed; .png or .webp.")
    ],
    shown: FilmOptions,
    typed: ExactRamp,
    files: Files,
) -> None:
    """Show the test in motion: up the ramp, the bars released on the floor or there, and to the second mark.

    Example: articulate animate vehicle_specs_demo/wagon.toml --output wagon.gif
    """
    import sys
    from dataclasses import replace as changed

    from articulate.output.film.encode import FORMS, Film, NoEncoderError, rate_of
    from articulate.output.film.sheet import MEDIA
    from articulate.output.film.shots import film_words, with_cards
    from articulate.output.text.conditions import condition_notes, stated

    faults: list[str] = []
    form = output.suffix.lower().removeprefix(".")
    shown.check(form, output, faults)
    place = read_release_on(shown.release_on, faults)
    asked = [(vehicle, files.settings), *([(shown.beside, None)] if shown.beside is not None else [])]
    read = [read_spec(path, changed_to, faults) for path, changed_to in asked]
    ramp = typed.read(faults)
    assert place is not None
    specs = told_apart([spec for spec in read if spec is not None])
    drawn = [
        _predicted(path, spec, ramp, typed.side, files.units) for (path, _), spec in zip(asked, specs, strict=True)
    ]
    rate = rate_of(form)
    made = _in_turn(drawn[0], place, rate) if shown.whole else _on_one_clock(drawn, shown.bars, rate)
    bands = {one.name: one.band for one in drawn}
    pictured = with_cards(*made, bands)

    def progress(done: int, count: int) -> None:
        if sys.stderr.isatty():
            typer.echo(f"\rframe {done} of {count}", err=True, nl=done == count)

    also = [f"bars released on the {place}"] if shown.whole and len(made.runs) > 1 else []
    held = stated(ramp.conditions(), typed.side, specs, also, lengths_for(files.units, specs))
    notes = condition_notes(held)
    film = Film(pictured, changed(MEDIA[shown.medium], lengths=held.lengths), notes, shown.transparent, rate, progress)
    try:
        answers = [Answer("--output", output, FORMS[form](film))]
    except NoEncoderError as error:
        stop(f"--output {output}: {error}", 1)
    if shown.words is not None:
        answers.append(Answer("--words", shown.words, as_words(film_words(pictured, made.runs, notes, bands))))
    save(answers, files.replace)


def _in_turn(drawn: Drawn, place: ReleaseOn, rate: int) -> Made:
    """The whole test of one vehicle: up, its bars released there or on the floor, and to the second mark."""
    from articulate.output.film.shots import RATE, shots
    from articulate.studies.day.moving_climb import USUAL_STATES, moving_climb

    stages = moving_climb(drawn.vehicle, drawn.test, drawn.prediction, USUAL_STATES.times(rate // RATE), place)
    runs = [(drawn.name, stage.mark) for stage in stages if stage.mark is not None]
    return Made(shots(stages, drawn.name, drawn.held.lengths, rate, drawn.outline), runs)


def _on_one_clock(drawn: Sequence[Drawn], bars: str, rate: int) -> Made:
    """One run, two vehicles, or both states of the bars of one, driving up equally fast."""
    from articulate.output.film.shots import RATE, STATES, side_by_side

    states = ("connected", "released") if bars == "side by side" else ("connected" if bars == "in turn" else bars,)
    runners = [one.runner(state) for one in drawn for state in states]
    pictured = side_by_side(runners, drawn[0].held.lengths, rate, STATES * rate // RATE)
    return Made(pictured, [(runner.name, runner.run) for runner in runners])
