"""A photograph behind the drawing: made pictures whose truth is known, an alignment worked out another way, refusals.

No photograph of a vehicle is used: the pictures are drawn, turned, shifted and strewn with noise here.
"""

from __future__ import annotations

import io
import json
import math
from types import SimpleNamespace

import numpy as np
import pytest
from PIL import Image
from typer.testing import CliRunner

from articulate.cli import app
from articulate.model.ramp_test import ramp_test
from articulate.output.figures.scene import scenes
from articulate.output.photograph.fit import UnfitError, fit, known_points
from articulate.output.photograph.overlay import laid_data, laid_over, laid_words
from articulate.output.photograph.read import PhotographError, read_photograph
from articulate.output.units import MILLIMETRES_FIRST
from articulate.prediction import predict
from articulate.spec import build, load_vehicle
from articulate.studies.day.moments import at_climbs
from tests.output.figure_checks import objections

WAGON = "vehicle_specs_demo/wagon.toml"
SIZE = (1800, 1200)
SCALE = 1.0 / 210.0  # [m/px]
DOTS = {"front hub": (220, 30, 30), "rear hub": (30, 160, 30), "mark": (30, 30, 220), "toe": (200, 30, 200)}


def scene_on(side):
    vehicle, test = build(load_vehicle(WAGON)), ramp_test(1)
    run = predict(vehicle, test, side).connected
    return scenes(at_climbs(vehicle, test, side, run, run.trace.climb[[-1]]))[0], run


@pytest.fixture(scope="module", params=["left", "right"])
def scene(request):
    return scene_on(request.param)[0]


def truly(scene, turn):
    """Where the known points lie in a picture of that turn [rad], its middle on the middle of the wheelbase."""
    known = known_points(scene)
    middle = 0.5 * (known["front hub"] + known["rear hub"])
    cosine, sine = math.cos(turn), math.sin(turn)
    found = {}
    for name, (u, v) in known.items():
        across, up = u - middle[0], v - middle[1]
        x, y = cosine * across - sine * up, sine * across + cosine * up
        found[name] = (SIZE[0] / 2 + x / SCALE, SIZE[1] / 2 - y / SCALE)
    return found


@pytest.mark.parametrize("turn", [0.0, math.radians(3.0), math.radians(-7.0)])
def test_the_truth_of_a_noisy_picture_is_recovered_within_a_millimetre(scene, turn):
    truth = truly(scene, turn)
    across, down = np.meshgrid(np.arange(SIZE[0]) + 0.5, np.arange(SIZE[1]) + 0.5)
    pixels = np.full((SIZE[1], SIZE[0], 3), 120.0)
    around = {
        name: (slice(int(y) - 40, int(y) + 40), slice(int(x) - 40, int(x) + 40))
        for name, (x, y) in truth.items()
        if name in DOTS
    }
    for name, colour in DOTS.items():
        x, y = truth[name]
        part = around[name]
        cover = np.clip(12.5 - np.hypot(across[part] - x, down[part] - y), 0.0, 1.0)[..., None]
        pixels[part] = pixels[part] * (1.0 - cover) + cover * np.array(colour)
    pixels = np.clip(pixels + np.random.default_rng(7).normal(0.0, 12.0, pixels.shape), 0.0, 255.0)
    seen = {}
    for name, colour in DOTS.items():  # found again by their colour, as an eye finds them
        part = around[name]
        near = np.exp(-(((pixels[part] - np.array(colour)) / 30.0) ** 2).sum(axis=-1))
        near[near < 0.05] = 0.0
        seen[name] = tuple(float((near * places[part]).sum() / near.sum()) for places in (across, down))
    found = fit(scene, seen, SIZE)
    assert found.turn == pytest.approx(-turn, abs=math.radians(0.03))
    assert found.scale == pytest.approx(SCALE, rel=5e-4)
    for name, place in known_points(scene).items():
        apart = np.hypot(*(found.pixels(place) - truth[name])) * SCALE
        assert apart < 1e-3, name
        np.testing.assert_allclose(found.metres(found.pixels(place)), place, atol=1e-12)
    assert found.rms < 1e-3


def by_singular_values(pixels, metres):
    """The same alignment worked out apart: Kabsch (1976) with Umeyama's scale (1991, eq. 42), by an SVD."""
    up = pixels * np.array([1.0, -1.0])
    p, q = up - up.mean(axis=0), metres - metres.mean(axis=0)
    u, d, vt = np.linalg.svd(q.T @ p)
    sign = np.diag([1.0, np.sign(np.linalg.det(u @ vt))])
    rotation, scale = u @ sign @ vt, np.trace(np.diag(d) @ sign) / (p**2).sum()
    return scale, rotation, metres.mean(axis=0) - scale * rotation @ up.mean(axis=0)


def test_the_least_squares_are_those_of_singular_values(scene):
    rng = np.random.default_rng(3)
    for _ in range(20):
        truth = truly(scene, rng.uniform(-0.2, 0.2))
        seen = {name: tuple(np.array(place) + rng.normal(0.0, 8.0, 2)) for name, place in truth.items()}
        found = fit(scene, seen, SIZE)
        scale, rotation, shift = by_singular_values(found.photographed, found.predicted)
        assert found.scale == pytest.approx(scale, rel=1e-9)
        np.testing.assert_allclose(found.matrix, scale * rotation @ np.diag([1.0, -1.0]), atol=1e-12)
        np.testing.assert_allclose(found.shift, shift, atol=1e-9)


def test_a_hub_that_stands_elsewhere_is_told_with_its_direction(scene):
    truth = truly(scene, 0.02)
    fixed = fit(scene, truth, SIZE)
    known = known_points(scene)
    # The body's own points and the ramp hold; the rear hub is photographed 60 mm higher and 20 mm farther ahead.
    moved = known["rear hub"] + np.array([0.02 * fixed.forward, 0.06])
    held = {name: truth[name] for name in ("front hub", "mark", "toe")}
    found = fit(scene, held | {"rear hub": tuple(fixed.pixels(moved))}, SIZE)
    ahead, above = found.off[found.names.index("rear hub")]
    assert above > 0.01
    assert above == max(found.off[:, 1])
    assert found.hub_angle < 0.0  # a higher rear hub: more nose down
    words = " ".join(laid_words(found, scene.wheelbase, MILLIMETRES_FIRST))
    assert f"rear hub: {1000 * abs(ahead):.0f} mm" in words
    assert "more nose down" in words
    assert laid_data(found)["rms_m"] == pytest.approx(np.sqrt((found.off**2).sum(axis=1).mean()))


def test_two_points_are_met_and_nothing_is_claimed_of_them(scene):
    truth = truly(scene, 0.05)
    found = fit(scene, {name: truth[name] for name in ("front hub", "rear hub")}, SIZE)
    np.testing.assert_allclose(found.off, 0.0, atol=1e-9)
    assert laid_data(found)["rms_m"] is None
    assert "give a third" in " ".join(laid_words(found, scene.wheelbase, MILLIMETRES_FIRST))


def test_the_lines_lie_where_the_fit_puts_them_and_no_words_overlap(scene):
    truth = truly(scene, 0.05)
    found = fit(scene, {name: truth[name] for name in DOTS}, SIZE)
    picture = laid_over(scene, "Kestrow", Image.new("RGB", SIZE, (90, 110, 90)), found, MILLIMETRES_FIRST, 2)
    axes = picture.figure.axes[0]
    drawn = {line.get_gid(): line for line in axes.get_lines() if line.get_gid()}
    for gid, name in (("hub-front", "front hub"), ("hub-rear", "rear hub"), ("mark", "mark")):
        place = axes.transData.inverted().transform(drawn[gid].get_transform().transform(drawn[gid].get_xydata()))[0]
        assert np.hypot(*(place - truth[name])) * SCALE < 1e-3, name
    assert not objections(picture)
    first, second = (
        laid_over(scene, "Kestrow", Image.new("RGB", SIZE), found, MILLIMETRES_FIRST, 2).png() for _ in range(2)
    )
    assert first == second


def test_points_that_lay_nothing_over_are_refused():
    scene, _ = scene_on("left")
    truth = truly(scene, 0.0)
    front, rear = truth["front hub"], truth["rear hub"]
    for points, why in (
        ({"front hub": front}, "one point fixes no scale"),
        ({"front hub": front, "wing": rear}, "wing: not a point of the prediction; 'front hub'"),
        ({"front hub": front, "rear hub": (-1.0, 5.0)}, "lies outside the picture; it has 1800 x 1200 pixels"),
        ({"front hub": front, "rear hub": (front[0] + 2.0, front[1])}, "same place of the picture"),
        ({"front hub": front, "rear hub": (front[0] + 90.0, front[1])}, "within 90 pixels"),
        ({"front hub": rear, "rear hub": front}, "--side right"),
        ({"front hub": front, "rear hub": rear, "mark": (rear[0] - 90.0, rear[1])}, "mm off where the others put it"),
    ):
        with pytest.raises(UnfitError, match=";") as raised:
            fit(scene, points, SIZE)
        assert why in str(raised.value)
    kept = {name: getattr(scene, name) for name in ("hub", "side", "points", "point", "ramp_wheel", "wheelbase")}
    at_toe = SimpleNamespace(**kept, mark=np.zeros(3))
    with pytest.raises(UnfitError, match="one point of the prediction"):
        fit(at_toe, {"mark": front, "toe": rear}, SIZE)


def jpeg(folder, name="a.jpg", size=SIZE, **how):
    path = folder / name
    Image.new("RGB", size, (80, 100, 80)).save(path, **how)
    return path


def test_files_that_are_no_photograph_are_refused(tmp_path):
    text, broken = tmp_path / "text.jpg", tmp_path / "broken.png"
    text.write_text("no picture")
    broken.write_bytes(jpeg(tmp_path, "whole.png").read_bytes()[:2000])
    for path, why in (
        (tmp_path / "none.jpg", "is not there"),
        (tmp_path, "cannot be read"),
        (text, "is no picture"),
        (broken, "cannot be read"),
        (jpeg(tmp_path, "small.png", (199, 800)), "has 199 x 800 pixels"),
    ):
        with pytest.raises(PhotographError, match=";") as raised:
            read_photograph(path)
        assert why in str(raised.value)


def test_a_photograph_is_read_as_it_is_seen(tmp_path):
    turned = Image.Exif()
    turned[0x0112] = 6  # orientation: the camera was held on its side (Exif 2.32, section 4.6.4)
    assert read_photograph(jpeg(tmp_path, exif=turned)).size == (1200, 1800)
    clear = tmp_path / "clear.png"
    Image.new("RGBA", (300, 300), (10, 20, 30, 0)).save(clear)
    assert read_photograph(clear).getpixel((5, 5)) == (255, 255, 255)


@pytest.fixture
def draw():
    runner = CliRunner()
    return lambda *words: runner.invoke(app, ["draw", WAGON, *map(str, words)])


def test_the_command_draws_says_how_far_off_and_writes_it_down(draw, tmp_path):
    scene, run = scene_on("left")
    truth = truly(scene, 0.03)
    points = [word for name in DOTS for word in ("--point", f"{name}={truth[name][0]:.2f},{truth[name][1]:.2f}")]
    behind = ("--photograph", jpeg(tmp_path), *points)
    done = draw("--output", tmp_path / "over.png", "--words", tmp_path / "over.json", *behind)
    assert done.exit_code == 0, done.output
    assert "one pixel is 4.76 mm" in done.stdout
    assert "root mean square 0 mm" in done.stdout
    assert "square to the vehicle's side" in " ".join(done.stdout.split())
    assert max(map(len, done.stdout.splitlines())) <= 80
    said = json.loads((tmp_path / "over.json").read_text())
    assert said["laid_over"]["metres_per_pixel"] == pytest.approx(SCALE, rel=1e-3)
    assert f"Predicted score {run.score:.0f}" in said["caption"]
    assert Image.open(io.BytesIO((tmp_path / "over.png").read_bytes())).size[0] == SIZE[0]
    svg = draw("--output", "-", *behind)
    assert svg.stdout.startswith("<?xml")
    assert svg.stdout.rstrip().endswith("</svg>")
    assert "one pixel is" in svg.stderr


def test_what_does_not_go_with_a_photograph_is_refused_at_once(draw, tmp_path):
    path = jpeg(tmp_path)
    out = ("--output", tmp_path / "x.png")
    done = draw(*out, "--photograph", path, "--view", "rear", "--medium", "video", "--transparent", "--point", "hub 3")
    assert done.exit_code == 2
    for words in ("--view rear:", "--medium video:", "--transparent:", "--point hub 3: not a name and two numbers"):
        assert words in done.output
    assert "front hub=812,640" in draw(*out, "--photograph", path).output
    assert "name one with --photograph" in draw(*out, "--point", "mark=1,2").output
    twice = draw(*out, "--photograph", path, "--point", "mark=1,2", "--point", "mark=3,4")
    assert "mark is given twice" in twice.output
    assert "not a name and two numbers" in draw(*out, "--photograph", path, "--point", "mark=nan,2").output
    far = draw(*out, "--photograph", path, "--point", "mark=1,2", "--point", "front hub=5000,2")
    assert "--point front hub: 5000,2 lies outside the picture" in far.output
    assert draw("--output", path, "--photograph", path, "--replace").exit_code == 2
    assert not (tmp_path / "x.png").exists()
