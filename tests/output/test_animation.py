"""The moving climb: its states are those of the runs, its frames whole, its bytes always the same."""

from __future__ import annotations

import io
import json
import re
import shutil
import stat
import subprocess
import sys
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from PIL import Image
from typer.testing import CliRunner

from articulate.cli import app
from articulate.climb import Outcome
from articulate.model.balance import RampSystem
from articulate.model.measures import measures
from articulate.model.ramp_test import ramp_test
from articulate.output.figures.drawing import Manner, draw_scene
from articulate.output.figures.scene import scenes
from articulate.output.figures.theme import Medium, fit, hand
from articulate.output.film.encode import FORMS, Film, NoEncoderError, animated_png, gif, mov, mp4, webp
from articulate.output.film.sheet import MEDIA, frames, in_parts
from articulate.output.film.shots import (
    CLOSING,
    HOLD,
    LAST_HOLD,
    RATE,
    TITLE,
    Runner,
    film_words,
    shots,
    side_by_side,
    with_cards,
)
from articulate.output.film.strokes import Strokes, paint, width_of
from articulate.output.units import MILLIMETRES_FIRST
from articulate.prediction import predict
from articulate.spec import build, load_vehicle
from articulate.studies.day.moving_climb import States, moving_climb, releasing

WAGON = "vehicle_specs_demo/wagon.toml"
TINY = Medium("page", 4.8, 50, 5.7, 2.7)


@cache
def stages_of(path, side="left", up=6, release=4, on=3, release_on="ramp"):
    vehicle, test = build(load_vehicle(path)), ramp_test(1)
    prediction = predict(vehicle, test, side)
    return prediction, moving_climb(vehicle, test, prediction, States(up, release, on), release_on)


def pictured_of(stages, name="x"):
    return shots(stages, name, MILLIMETRES_FIRST)


@pytest.mark.parametrize("side", ["left", "right"])
def test_the_stages_join_and_end_at_the_marks(side):
    prediction, (up, release, on) = stages_of(WAGON, side)
    assert all(stage.moments.converged.all() for stage in (up, release, on))
    assert up.moments.climb[-1] == pytest.approx(prediction.connected.climb)
    assert up.moments.climb[0] < prediction.connected.trace.climb[0]
    np.testing.assert_allclose(release.moments.climb, prediction.connected.climb)
    assert on.moments.climb[-1] == pytest.approx(prediction.released.climb)
    assert np.all(np.diff(on.moments.climb) > 0.0)
    # The bars are let go at rest: the first and the last state belong to the runs before and after.
    np.testing.assert_allclose(on.moments.state[-1], prediction.released.trace.state[-1], atol=1e-7)
    np.testing.assert_allclose(up.moments.state[-1], prediction.connected.trace.state[-1], atol=1e-7)


def test_over_the_floor_the_bars_are_released_where_all_wheels_stand():
    prediction, (up, back, floor, again) = stages_of(WAGON, release_on="floor")
    np.testing.assert_allclose(back.moments.climb, up.moments.climb[::-2])
    assert set(back.moments.bars) == {"connected"}
    # Level floor: the four loads are those of the vehicle at rest with its bars released, none of them small.
    found = measures(
        RampSystem.of(floor.moments.vehicles, floor.moments.test), floor.moments.state, floor.moments.climb
    )
    assert floor.moments.bars == ("released",)
    assert found.wheel_load.min() > 0.8 * prediction.rest_load.min()
    assert "level floor" in floor.ending
    assert again.moments.climb[-1] == pytest.approx(prediction.released.climb)
    assert again.mark is prediction.released


def test_releasing_brings_the_lifted_wheel_down_step_by_step():
    _, (_, release, _) = stages_of(WAGON)
    moments = release.moments
    found = measures(RampSystem.of(moments.vehicles, moments.test), moments.state, moments.climb)
    assert np.all(np.diff(found.wheel_load[:, 2]) > 0.0)
    weight = found.vertical_load.sum(axis=1)
    np.testing.assert_allclose(weight, weight[0], rtol=1e-6)
    assert moments.vehicles.bar_rate[-1, 0] == 0.0
    assert moments.bars[-1] == "released"


def test_releasing_does_nothing_where_there_is_no_bar_to_release():
    vehicle = build(load_vehicle("vehicle_specs_demo/crossover_minimal.toml"))
    prediction, (up,) = stages_of("vehicle_specs_demo/crossover_minimal.toml")
    assert prediction.released is None
    last = up.moments
    only = type(last)(
        last.side,
        last.bars[-1:],
        last.vehicles.take(slice(-1, None)),
        last.test.take(slice(-1, None)),
        last.climb[-1:],
        last.state[-1:],
        last.converged[-1:],
        last.anchor[-1:],
    )
    settled = releasing(vehicle, only, 3)
    np.testing.assert_allclose(settled.state, np.repeat(only.state, 3, axis=0), atol=1e-6)


def test_a_second_mark_below_the_first_is_driven_back_to():
    vehicle, test = build(load_vehicle(WAGON)).frictionless(), ramp_test(1)  # so that the way does not matter
    prediction = predict(vehicle, test)
    swapped = type(prediction)(
        prediction.side,
        prediction.angle,
        prediction.wheelbase,
        prediction.rest_load,
        prediction.connected,
        predict(vehicle, ramp_test(1, touch_load=1500.0)).released,
    )
    assert swapped.released.climb < swapped.connected.climb
    stages = moving_climb(vehicle, test, swapped, States(4, 2, 3), "ramp")
    assert "back" in stages[-1].caption
    drive = stages[-1].moments
    assert np.all(np.diff(drive.climb) < 0.0)
    assert drive.converged.all()
    np.testing.assert_allclose(drive.state[-1], swapped.released.trace.state[-1], atol=1e-6)


def test_the_gif_is_whole_and_the_same_every_time():
    _, stages = stages_of(WAGON)
    pictured = pictured_of(stages)
    first, second = (gif(Film(pictured, TINY)) for _ in range(2))
    assert first == second
    film = Image.open(io.BytesIO(first))
    assert film.size == (240, 135)
    assert film.n_frames == len(pictured) == 6 + 1 + 4 + 3 + 1
    held = []
    for number in range(film.n_frames):
        film.seek(number)
        held.append(film.info["duration"])
    assert held[6] == HOLD * 1000.0
    assert held[-1] == LAST_HOLD * 1000.0
    assert held[0] == pytest.approx(1000.0 / RATE, abs=5.0)
    assert film.convert("RGB").getpixel((1, 134)) == (255, 255, 255)


def test_a_frame_is_the_same_whatever_was_drawn_on_the_sheet_before():
    _, stages = stages_of(WAGON)
    pictured = [pictured_of(stages)[k] for k in (0, -1, 5, -1, 0)]
    first, last, _, last_again, first_again = frames(pictured, TINY)
    np.testing.assert_array_equal(first, first_again)
    np.testing.assert_array_equal(last, last_again)
    assert (first != last).any()


def test_frames_are_the_same_in_any_order():
    _, stages = stages_of(WAGON)
    pictured = pictured_of(stages)
    order = [len(pictured) - 1, 0, 7]
    ordered = [np.asarray(one.whole()) for one in in_parts(pictured, TINY, order=order)]
    for number, one in zip(order, ordered, strict=True):
        np.testing.assert_array_equal(one, list(frames(pictured, TINY))[number])


def test_cards_open_and_close_the_film_with_both_scores_and_the_gain():
    prediction, stages = stages_of(WAGON)
    runs = [("x", prediction.connected), ("x", prediction.released)]
    title, *between, closing = with_cards(pictured_of(stages), runs)
    assert len(between) == len(pictured_of(stages))
    assert (title.seconds, closing.seconds) == (TITLE, CLOSING)
    connected, released = prediction.connected.score, prediction.released.score
    assert closing.large == f"{connected:.0f} → {released:.0f}"
    assert f"+{round(released) - round(connected)} by releasing the bars" in " ".join(closing.lines)
    assert "predicted" in " ".join(title.lines)
    drawn = list(frames([title, between[0], closing], TINY))
    assert all(one.shape == (135, 240, 3) and one.min() < 128 for one in drawn)
    alone, stages = stages_of("vehicle_specs_demo/crossover_minimal.toml")
    assert "→" not in with_cards(pictured_of(stages), [("x", alone.connected)])[-1].large


def test_the_full_gif_is_small_enough_to_send():
    vehicle, test = build(load_vehicle(WAGON)), ramp_test(1)
    data = gif(Film(pictured_of(moving_climb(vehicle, test, predict(vehicle, test)), "Kestrow Bellwether")))
    assert len(data) < 3_000_000
    assert Image.open(io.BytesIO(data)).size == (960, 540)


def stand_in(folder, body):
    """A program named ffmpeg of our own, for what can be checked without the real one."""
    program = folder / "ffmpeg"
    program.write_text(f"#!{sys.executable}\nimport sys\n{body}\n", encoding="utf-8")
    program.chmod(program.stat().st_mode | stat.S_IXUSR)


def test_the_film_gets_every_frame_as_often_as_it_is_held(tmp_path, monkeypatch):
    stand_in(tmp_path, "data = sys.stdin.buffer.read()\nopen(sys.argv[-1], 'wb').write(b'%d' % len(data))")
    monkeypatch.setenv("PATH", str(tmp_path))
    _, stages = stages_of(WAGON)
    pictured = pictured_of(stages)
    count = 6 + round(HOLD * RATE) + 4 + 3 + round(LAST_HOLD * RATE)
    assert int(mp4(Film(pictured, TINY))) == count * 240 * 135 * 3


def test_an_encoder_that_fails_or_is_not_there_is_told(tmp_path, monkeypatch):
    _, stages = stages_of(WAGON)
    pictured = pictured_of(stages)[:2]
    monkeypatch.setenv("PATH", str(tmp_path))
    with pytest.raises(NoEncoderError, match="install ffmpeg"):
        mp4(Film(pictured, TINY))
    stand_in(tmp_path, "print('no such codec', file=sys.stderr)\nsys.exit(3)")
    with pytest.raises(NoEncoderError, match=r"failed \(3\): no such codec"):
        mp4(Film(pictured, TINY))


@pytest.fixture
def run():
    runner = CliRunner()
    return lambda *words: runner.invoke(app, [str(word) for word in words])


def test_faults_of_the_options_are_all_told_and_nothing_is_written(run, tmp_path, monkeypatch):
    monkeypatch.setenv("PATH", str(tmp_path))
    result = run("animate", WAGON, "--output", tmp_path / "x.mp4", "--side", "top", "--release-on", "hill")
    assert result.exit_code == 2
    for word in ("ffmpeg", "--side top", "--release-on hill"):
        assert word in result.output
    result = run("draw", WAGON, "--output", tmp_path / "x.jpg", "--what", "song", "--view", "up", "--medium", "radio")
    assert result.exit_code == 2
    for word in (".svg or .png", "--what song", "--view up", "--medium radio"):
        assert word in result.output
    result = run("draw", WAGON, "--output", tmp_path / "x.svg", "--at", "4 m")
    assert result.exit_code == 2
    assert re.search(r"ends at 1\d{3} mm \(a wheel is down to the touch load\)", result.output)
    result = run(
        "draw", "vehicle_specs_demo/crossover_minimal.toml", "--output", tmp_path / "x.svg", "--bars", "released"
    )
    assert result.exit_code == 2
    assert "no bar that can be released" in result.output
    assert not list(tmp_path.iterdir())


def test_a_drawing_is_written_once_and_not_over_another(run, tmp_path):
    path = tmp_path / "wagon.svg"
    assert run("draw", WAGON, "--output", path, "--what", "support").exit_code == 0
    first = path.read_bytes()
    assert run("draw", WAGON, "--output", path).exit_code == 2
    assert path.read_bytes() == first
    assert run("draw", WAGON, "--output", path, "--what", "support", "--replace").exit_code == 0
    assert path.read_bytes() == first
    assert run("draw", WAGON, "--output", "-", "--what", "support").stdout.encode() == first


@pytest.mark.parametrize("medium", ["paper", "page", "video"])
def test_pictures_have_the_size_of_their_medium(run, tmp_path, medium):
    path = tmp_path / "wagon.png"
    assert run("draw", WAGON, "--output", path, "--what", "loads", "--medium", medium).exit_code == 0
    with Image.open(path) as image:
        size = image.size
    assert size[0] == {"paper": 1889, "page": 1200, "video": 1920}[medium]
    assert medium != "video" or size[1] == 1080


@pytest.mark.parametrize("side", ["left", "right"])
def test_strokes_paint_what_axes_draw(side):
    """The film's own way of painting, held to the drawing library's artists: the same picture but for edges."""
    prediction, stages = stages_of(WAGON, side)
    scene, medium = scenes(stages[0].moments)[-1], Medium("page", 9.6, 50, 11.5, 5.4)
    across, low, per_metre = 5.0, 0.4, 48.0
    with hand(medium):
        figure = Figure(figsize=(9.6, 5.4), dpi=50, facecolor="white")
        canvas = FigureCanvasAgg(figure)
        axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
        axes.set_xlim(-across, 480.0 / per_metre - across)
        axes.set_ylim(-low, 270.0 / per_metre - low)
        axes.set_axis_off()
        strokes = Strokes(across * per_metre, low * per_metre, per_metre, 50.0)
        manner = Manner(medium, 0.2, plain=True)
        for drawn_on in (axes, strokes):
            draw_scene(drawn_on, scene, "side", manner, prediction.connected.wheel, -5.0, 5.0)
        canvas.draw()
        library = np.asarray(canvas.buffer_rgba())[:, :, :3].astype(float)
        other = FigureCanvasAgg(Figure(figsize=(9.6, 5.4), dpi=50)).get_renderer()
        np.asarray(other.buffer_rgba())[:] = 255
        paint(other, strokes.outlines(halo=False))
        ours = np.asarray(other.buffer_rgba())[:, :, :3].astype(float)
    apart = np.abs(ours - library).max(axis=-1)
    assert (library.min(axis=-1) < 250.0).mean() > 0.15  # there is something to be seen
    assert (apart > 60.0).mean() < 0.004
    assert apart.mean() < 1.0


@pytest.mark.parametrize("name", MEDIA)
def test_every_format_says_one_thing_in_its_own_pixels(name):
    prediction, stages = stages_of(WAGON)
    medium = replace(MEDIA[name], dots_per_inch=50)
    pictured = pictured_of(stages)
    lifts = next(shot for shot in pictured if shot.panes[0].lifting >= 0)
    assert lifts.panes[0].points == f"{prediction.connected.score:.0f}"
    assert lifts.panes[0].sentence == "rear left carries nothing"
    runs = [("x", prediction.connected), ("x", prediction.released)]
    title, *_, closing = with_cards(pictured, runs)
    for pixels in frames([title, lifts, closing], medium, notes=["held", "a.toml"]):
        assert pixels.shape == (round(medium.height * 50), round(medium.width * 50), 3)
        edge = np.concatenate([pixels[:3].reshape(-1, 3), pixels[:, :3].reshape(-1, 3), pixels[:, -3:].reshape(-1, 3)])
        assert edge.min() == 255  # nothing is cut off at the edges


def runner_of(path, bars="connected", name="x"):
    prediction, _ = stages_of(path)
    run = getattr(prediction, bars)
    return Runner(name, build(load_vehicle(path)), ramp_test(1), prediction.side, run)


def test_two_on_one_clock_drive_equally_fast_and_wait_at_their_marks():
    runners = [runner_of(WAGON), runner_of(WAGON, "released")]
    both = side_by_side(runners, MILLIMETRES_FIRST, states=12)
    ends = [runner.run.climb for runner in runners]
    assert ends[0] < ends[1]
    for shot in both:
        first, second = (pane.scene.climb for pane in shot.panes)
        assert first == pytest.approx(min(second, ends[0]))
    assert [pane.scene.climb for pane in both[-1].panes] == pytest.approx(ends)
    assert [pane.points for pane in both[-1].panes] == [f"{runner.run.score:.0f}" for runner in runners]
    waiting = next(shot for shot in both if shot.panes[0].lifting >= 0)
    assert waiting.panes[1].lifting == -1
    # Each state is the solver's own.
    np.testing.assert_allclose(both[-1].panes[1].scene.load[2], 0.0, atol=0.5)
    for medium in (TINY, replace(MEDIA["square"], dots_per_inch=40)):
        one, *_ = frames(both[-1:], medium)
        assert one.shape[:2] == (
            round(medium.height * medium.dots_per_inch),
            round(medium.width * medium.dots_per_inch),
        )
    closing = with_cards(both, [(runner.name, runner.run) for runner in runners])[-1]
    assert "by releasing the bars" in " ".join(closing.lines)
    others = [runner_of(WAGON, name="a"), runner_of("vehicle_specs_demo/short_two_door.toml", name="b")]
    closing = with_cards(side_by_side(others, MILLIMETRES_FIRST, states=3), [(one.name, one.run) for one in others])[-1]
    assert " and " in closing.large
    assert "for the second" in " ".join(closing.lines)


def test_without_a_background_only_what_is_drawn_is_opaque():
    _, stages = stages_of(WAGON)
    pictured = [*pictured_of(stages)[-2:]]
    clear, white = (list(frames(pictured, TINY, transparent=how)) for how in (True, False))
    assert clear[0].shape[2] == 4
    opaque = clear[0][:, :, 3]
    assert opaque[0].max() == 0
    assert 0.05 < (opaque == 255).mean() < 0.6
    # Where it is opaque it is the film with its background, but for the white edges of words and lines.
    seen = (opaque == 255) & (clear[0][:, :, :3].min(axis=-1) < 250)
    assert (np.abs(clear[0][:, :, :3].astype(int) - white[0]).max(axis=-1)[seen] < 40).mean() > 0.95
    film = Film(pictured, TINY, transparent=True)
    for make, form in ((animated_png, "PNG"), (webp, "WEBP")):
        data = make(film)
        assert data == make(film)
        with Image.open(io.BytesIO(data)) as read:
            assert (read.format, read.n_frames, read.size) == (form, 2, (240, 135))
            assert read.convert("RGBA").getpixel((0, 0))[3] == 0


def test_the_words_of_a_film_cover_all_of_it():
    prediction, stages = stages_of(WAGON)
    runs = [("Kestrow", prediction.connected), ("Kestrow", prediction.released)]
    pictured = with_cards(pictured_of(stages, "Kestrow"), runs)
    said = film_words(pictured, runs, ["held at 20 deg"])
    parts = said["parts"]
    assert [part["from_s"] for part in parts] == [0.0, *(part["to_s"] for part in parts[:-1])]
    assert parts[-1]["to_s"] == said["seconds"] == pytest.approx(sum(shot.seconds for shot in pictured), abs=0.01)
    assert all(part["says"].endswith((".", "?")) and part["says"][0].isupper() for part in parts)
    for run in (prediction.connected, prediction.released):
        assert f"bars {run.bars}, {run.score:.0f} (rear left lifts)" in said["caption"]
    assert "predicted" in said["caption"]
    assert "held at 20 deg" in said["alt"]


@pytest.mark.skipif(shutil.which("ffprobe") is None, reason="no ffprobe on this machine")
@pytest.mark.parametrize(("make", "codec", "pixels"), [(mp4, "h264", "yuv420p"), (mov, "prores", "yuva444p12le")])
def test_what_ffprobe_says_of_the_films(tmp_path, make, codec, pixels):
    _, stages = stages_of(WAGON)
    film = Film(pictured_of(stages)[-3:], replace(TINY, dots_per_inch=100), transparent=make is mov, rate=24)
    path = tmp_path / "film"
    path.write_bytes(make(film))
    assert make(film) == path.read_bytes()
    asked = "stream=codec_name,width,height,pix_fmt,avg_frame_rate,nb_frames"
    words = ["ffprobe", "-v", "error", "-show_entries", asked, "-of", "json", str(path)]
    (stream,) = json.loads(subprocess.run(words, capture_output=True, check=True).stdout)["streams"]
    assert stream["codec_name"] == codec
    assert (stream["width"], stream["height"]) == (480, 270)
    assert stream["pix_fmt"] in (pixels, "yuva444p10le")
    assert stream["avg_frame_rate"] == "24/1"
    assert int(stream["nb_frames"]) == sum(round(shot.seconds * 24) for shot in film.pictured)


def test_what_a_film_cannot_be_is_refused_at_once(run, tmp_path):
    out = tmp_path / "x.gif"
    for words, why in (
        (("--transparent",), "--transparent: a .gif film has no clear background; write .png or .webp or .mov"),
        (("--medium", "paper"), "--medium paper: not a medium of films; page, video, square, upright"),
        (("--bars", "loose"), "--bars loose: not a way to show the bars; in turn, connected, released, side by side"),
        (("--beside", WAGON, "--bars", "side by side"), "--bars connected or released"),
        (("--beside", tmp_path / "no.toml"), "no.toml"),
        (("--release-on", "ramp", "--bars", "released"), "--release-on ramp: no bars are released in this film"),
        (("--words", tmp_path / "x.txt"), "must end in .json"),
    ):
        result = run("animate", WAGON, "--output", out, *words)
        assert result.exit_code == 2, words
        assert why in result.output
    unreleasable = run(
        "animate", "vehicle_specs_demo/crossover_minimal.toml", "--bars", "side by side", "--output", out
    )
    assert "no bar that can be released" in unreleasable.output
    assert not list(tmp_path.iterdir())


def test_a_film_of_two_vehicles_names_both_files_and_is_told_in_words(run, tmp_path, monkeypatch):
    asked: list[Film] = []
    monkeypatch.setitem(FORMS, "png", lambda film: asked.append(film) or b"film")
    out, words = tmp_path / "x.png", tmp_path / "x.json"
    other = "vehicle_specs_demo/short_two_door.toml"
    done = run("animate", WAGON, "--beside", other, "--output", out, "--words", words, "--transparent")
    assert done.exit_code == 0, done.output
    said = json.loads(words.read_text(encoding="utf-8"))
    for part in (WAGON, other, "Kestrow Bellwether", "Ostrell Pike", "side by side on one clock"):
        assert part in said["alt"]
    assert out.read_bytes() == b"film"
    (film,) = asked
    assert film.transparent
    assert len(film.pictured[1].panes) == 2
    assert all(file in " ".join(film.notes) for file in (WAGON, other))


def test_a_film_of_one_vehicle_before_and_after_a_change_does_not_take_it_for_its_bars(run, tmp_path, monkeypatch):
    """Both files bear the same name: they are told apart by their files, and an end by wheelspin is called so."""
    monkeypatch.setitem(FORMS, "png", lambda film: b"film")
    paths = [tmp_path / "before.toml", tmp_path / "after.toml"]
    text = Path("vehicle_specs_demo/crossover_minimal.toml").read_text(encoding="utf-8")
    for path, drive in zip(paths, ("locked", "open"), strict=True):
        locks = "".join(f'{key} = "{drive}"\n' for key in ("front_differential", "rear_differential", "centre"))
        path.write_text(f'{text}\n[drive]\ndriven_wheels = "all"\n{locks}', encoding="utf-8")
    out, words = tmp_path / "x.png", tmp_path / "x.json"
    done = run("animate", paths[0], "--beside", paths[1], "--output", out, "--words", words)
    assert done.exit_code == 0, done.output
    closing = json.loads(words.read_text(encoding="utf-8"))["parts"][-1]["says"]
    assert "releasing" not in closing
    assert re.search(r"−\d+ for the second, −\d+ %", closing)  # one sign for both
    assert "(before), bars connected: " in closing
    assert ", wheels spin." in closing.split("(after), bars connected: ")[1]


@pytest.mark.parametrize("name", MEDIA)
def test_no_sentence_is_cut_however_long(name, monkeypatch):
    """Words of safety stand in them; what is cut is marked by dots."""
    drawn: list[str] = []
    write = Strokes.words
    monkeypatch.setattr(Strokes, "words", lambda *how: (drawn.append(how[3]), write(*how))[1])
    _, (up, release, _) = stages_of(WAGON)
    chocked = pictured_of([release])[0]
    long = replace(chocked, panes=(replace(chocked.panes[0], sentence=Outcome.LIFTS_BEFORE_RAMP.meaning),))
    name_of = "An estate of the long wheelbase, Überland «Ωmega», with all its gear"
    cards = with_cards(pictured_of([up], name_of), [(name_of, up.mark)])
    shown = [chocked, long, replace(long, panes=long.panes * 2)]
    medium = replace(MEDIA[name], dots_per_inch=50)
    for one in shown:
        list(frames([one], medium, notes=["held"]))
    list(frames([cards[1], cards[0], cards[-1]], medium))
    said = " ".join(drawn)  # a sentence may stand in two lines
    assert "bars released on the ramp, wheels chocked, nobody near" in said
    assert Outcome.LIFTS_BEFORE_RAMP.meaning in said
    assert not [text for text in drawn if "…" in text and not text.startswith("An estate")]
    assert all(text.endswith("predicted") for text in drawn if "…" in text and "bars" in text)


@pytest.mark.parametrize("name", [" ", "\u200b", "."])
def test_a_vehicle_whose_name_does_not_show_is_filmed_too(name):
    _, (up, _, _) = stages_of(WAGON)
    pictured = with_cards(pictured_of([up], name)[:1], [(name, up.mark)])
    assert len(list(frames(pictured, TINY, notes=["", " "]))) == len(pictured)


def test_words_that_are_a_little_too_long_are_made_smaller_and_not_cut():
    words = "Kestrow Bellwether on larger tyres, predicted"
    whole = width_of(words, 11.5)
    for room in np.linspace(0.72, 0.99, 60) * whole:
        text, size = fit(words, 11.5, float(room), width_of)
        assert text == words
        assert 0.97 * room < width_of(text, size) <= room
    cut, size = fit(words.removesuffix(", predicted"), 11.5, 0.4 * whole, width_of, ", predicted")
    assert cut.startswith("Kestrow")
    assert cut.endswith("…, predicted")
    assert width_of(cut, size) <= 0.4 * whole
