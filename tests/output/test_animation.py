"""The moving climb: its states are those of the runs, its frames whole, its bytes always the same."""

from __future__ import annotations

import io
import re
import stat
import sys
from functools import cache

import numpy as np
import pytest
from PIL import Image
from typer.testing import CliRunner

from articulate.cli import app
from articulate.model.balance import RampSystem
from articulate.model.measures import measures
from articulate.model.ramp_test import ramp_test
from articulate.output.figures.theme import Medium
from articulate.output.film.encode import Film, NoEncoderError, gif, mp4
from articulate.output.film.sheet import frames
from articulate.output.film.shots import CLOSING, HOLD, LAST_HOLD, RATE, TITLE, shots, with_cards
from articulate.output.units import MILLIMETRES_FIRST
from articulate.prediction import predict
from articulate.spec import build, load_vehicle
from articulate.studies.day.moving_climb import moving_climb, releasing

WAGON = "vehicle_specs_demo/wagon.toml"
TINY = Medium("page", 4.8, 50, 5.7, 2.7)


@cache
def stages_of(path, side="left", up=6, release=4, on=3, release_on="ramp"):
    vehicle, test = build(load_vehicle(path)), ramp_test(1)
    prediction = predict(vehicle, test, side)
    return prediction, moving_climb(vehicle, test, prediction, up, release, on, release_on=release_on)


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
    stages = moving_climb(vehicle, test, swapped, 4, 2, 3, release_on="ramp")
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
