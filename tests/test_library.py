"""`import articulate` as a person in a notebook uses it: answers agree with the commands, slips are errors of ours."""

import functools
import inspect
import json
import runpy
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
import typer
from typer.testing import CliRunner

import articulate
from articulate.cli import app
from articulate.climb import climb_to_unload
from articulate.model.ramp_test import ramp_test
from articulate.model.vehicles import stack
from articulate.prediction import predict as predict_arrays
from articulate.spec import load_vehicle
from articulate.studies.compare.comparison import compare
from articulate.studies.design.tyre_ladder import tyre_ladder
from articulate.studies.population.runs import Population
from articulate.studies.predict.band import band as band_of
from articulate.studies.predict.blocks import block_test
from tests.output.figure_checks import objections

ROOT = Path(__file__).resolve().parent.parent
WAGON = "vehicle_specs_demo/wagon.toml"
SHEET = "vehicle_specs_demo/run_sheets/wagon_run_sheet.toml"
EXAMPLES = sorted((ROOT / "scripts" / "examples").glob("*.py"))
SAYS = {
    "another_ramp": "on a 23 degree ramp",
    "batch_core": "score from",
    "both_scores": "gain from releasing: +",
    "draw_a_band": "kB",
    "how_well_known": "find out first: front.spring.ride_frequency",
    "possible_vehicles": "ride_frequency",
    "reach_a_score": "580 is reached with rear.travel.bump",
    "score_a_run_sheet": "both  connected",
    "slips_are_errors": "write rear.travel.bump",
    "story_of_a_climb": "decided by the rear bump stops",
    "sweep_a_travel": "points per 10 mm",
    "what_if": "releasing the bar instead",
    "what_the_first_run_says": "released after:",
    "who_is_better": "Last year's wagon 587",
    "why_larger_tyres_cost": "bump travel",
    "without_a_ramp": "blocks",
}


def command(*words):
    return json.loads(CliRunner().invoke(app, [*words, "--json"]).stdout)


def test_every_public_name_is_there_documented_and_listed():
    for name in articulate.__all__:
        found = getattr(articulate, name)
        assert found.__doc__, name
        assert name in dir(articulate)
    with pytest.raises(AttributeError, match="predict"):
        articulate.forecast  # noqa: B018


def test_nothing_else_is_offered():
    assert {name for name in dir(articulate) if not name.startswith("_")} == set(articulate.__all__)


@pytest.mark.parametrize(
    "ask",
    [
        lambda: articulate.predict(WAGON),
        lambda: articulate.band(WAGON, points=32),
        lambda: articulate.sample(WAGON, points=32),
        lambda: articulate.clearance(WAGON),
        lambda: articulate.timeline(WAGON),
        lambda: articulate.score(SHEET),
    ],
    ids=["predict", "band", "sample", "clearance", "timeline", "score"],
)
def test_what_stands_behind_an_answer_is_shown_on_a_screen(ask):
    answer = ask()
    for record in (answer, answer.found, *vars(answer.found).values()):
        if isinstance(record, np.ndarray | str | dict | tuple):
            continue
        assert len(repr(record)) < 1000, type(record)
    assert "0x" not in repr(answer.found)


def test_importing_it_loads_nothing_heavy():
    code = "import sys, articulate; print(sorted({'numpy', 'scipy', 'sympy', 'matplotlib'} & set(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_a_demo_vehicle_is_its_file():
    assert articulate.demo("wagon").spec.text_hash == articulate.load(WAGON).spec.text_hash
    with pytest.raises(articulate.ArgumentError, match="short_two_door"):
        articulate.demo("nothing")


ROLL = "released.roll=14 deg ± 3 deg"


@pytest.mark.parametrize(
    ("answer", "words"),
    [
        (lambda ramp: articulate.predict(WAGON, ramp), ("predict", WAGON)),
        (lambda ramp: articulate.band(WAGON, ramp, points=64), ("band", WAGON, "--points", "64")),
        (lambda ramp: articulate.timeline(WAGON, ramp), ("timeline", WAGON)),
        (lambda ramp: articulate.worth(WAGON, ramp), ("worth", WAGON)),
        (lambda ramp: articulate.clearance(WAGON, ramp), ("clearance", WAGON)),
        (
            lambda ramp: articulate.learn(WAGON, "500 ± 3", ramp=ramp, points=1024, seen=[ROLL]),
            ("learn", WAGON, "--connected", "500 ± 3", "--points", "1024", "--seen", ROLL),
        ),
    ],
)
def test_an_answer_is_that_of_the_command(answer, words):
    ramp = articulate.Ramp(angle="23 deg", side="right")
    mine, theirs = answer(ramp).to_dict(), command(*words, "--ramp-angle", "23 deg", "--side", "right")
    assert theirs.keys() == mine.keys()
    for part in ("connected", "released", "cases", "tables", "scores", "next_run"):
        assert json.dumps(mine.get(part), default=str) == json.dumps(theirs.get(part), default=str)


def test_what_if_goes_the_way_of_set():
    longer = articulate.load(WAGON).what_if(rear__travel__bump="95 mm")
    assert "changed" in longer.name
    theirs = command("predict", WAGON, "--set", "rear.travel.bump=95 mm")
    assert articulate.predict(longer).found.connected.score == pytest.approx(theirs["connected"]["score"])


@pytest.mark.parametrize("side", ["left", "right"])
def test_a_sweep_is_one_prediction_a_value(side):
    ramp = articulate.Ramp(side=side)
    found = articulate.sweep(WAGON, "rear.travel.bump", ["70 mm", "95 mm"], ramp)
    for value, connected, released in zip(found.found.values, found.found.connected, found.found.released, strict=True):
        alone = articulate.predict(articulate.load(WAGON).what_if(rear__travel__bump=value), ramp).found
        assert connected == pytest.approx(alone.connected.score, abs=0.01)
        assert released == pytest.approx(alone.released.score, abs=0.01)
    assert [row["rear.travel.bump"] for row in found.rows()] == ["70 mm", "95 mm"]
    assert "rear.travel.bump" in found.table()


LEVER = {"rear.travel.bump": "70 mm to 120 mm"}
ANSWERS = {
    "audit": lambda: articulate.audit(WAGON, SHEET),
    "band": lambda: articulate.band(WAGON, points=32),
    "blocks": lambda: articulate.blocks(WAGON),
    "carry": lambda: articulate.carry(WAGON, "23 deg", "587 ± 4"),
    "clearance": lambda: articulate.clearance(WAGON, points=32),
    "compare": lambda: articulate.compare([WAGON], {"Old": "587 ± 4"}, samples=64),
    "explain": lambda: articulate.explain(WAGON, "vehicle_specs_demo/wagon_larger_tyres.toml"),
    "ladder": lambda: articulate.ladder(WAGON, ["265/70R17", "285/70R17"], points=32),
    "learn": lambda: articulate.learn(WAGON, "575 ± 3", points=1024),
    "predict": lambda: articulate.predict(WAGON),
    "sample": lambda: articulate.sample(WAGON, points=32),
    "score": lambda: articulate.score(SHEET),
    "sweep": lambda: articulate.sweep(WAGON, "rear.travel.bump", ["70 mm", "75 mm", "95 mm"]),
    "target": lambda: articulate.target(WAGON, 580.0, LEVER),
    "timeline": lambda: articulate.timeline(WAGON),
    "worth": lambda: articulate.worth(WAGON),
}
RANGE = ["median", "low", "high"]


def every(row):
    return True


DRAWN = {  # columns of the rows that are drawn, the unit of the figure in that of the rows, and which rows are drawn
    "audit": (["probability"], 0.01, lambda row: row["probability"] >= 0.005),
    "band": (RANGE, 1.0, lambda row: row["what"] == "score"),
    "blocks": (["block_height_m", "block_height_low_m", "block_height_high_m"], 1e-3, every),
    "carry": (["predicted_from", "predicted_to", "measured", "carried"], 1.0, every),
    "clearance": (["value_m", "low_m", "high_m"], 1e-3, lambda row: "clearance" not in row["what"]),
    "compare": (["score", "score_low", "score_high"], 1.0, every),
    "explain": (["points"], 1.0, lambda row: row["bars"] == "connected"),
    "ladder": (["score_connected", "score_released_high"], 1.0, lambda row: row["policy"] == "stops as fitted"),
    "learn": ([*RANGE, "measured"], 1.0, every),
    "score": (["score", "low", "high"], 1.0, every),
    "sweep": (["score_connected", "score_released"], 1.0, every),
    "target": (["score"], 1.0, every),
    "timeline": (["score"], 1.0, every),
    "worth": (["points_more", "points_less"], 1.0, lambda row: row["bars"] == "connected" and worth_most(row)),
}


def worth_most(row):
    return max(abs(row["points_more"]), abs(row["points_less"])) > 5.0


@functools.cache
def answered(name):
    return ANSWERS[name]()


def drawn(picture):
    """All numbers of the figure's lines, and the lengths of its bars."""
    found = [0.0]
    for axes in picture.figure.axes:
        for line in axes.lines:
            found += [*np.ravel(line.get_xdata()), *np.ravel(line.get_ydata())]
        found += [patch.get_width() for patch in axes.patches if hasattr(patch, "get_width")]
    return np.array(found, dtype=float)


def test_every_function_that_answers_is_among_the_answers():
    others = {"ArgumentError", "ArticulateError", "Ramp", "Result", "Vehicle", "demo", "load", "read"}
    assert set(ANSWERS) == set(articulate.__all__) - others


@pytest.mark.parametrize("name", ANSWERS)
def test_every_answer_has_all_ways_to_look_at_it(name):
    answer = answered(name)
    assert len(repr(answer)) < 400
    assert "\n" not in repr(answer)
    assert answer._repr_html_().startswith("<pre>")
    assert json.dumps(answer.to_dict())
    assert all(len(line) <= 80 for line in answer.table().splitlines())
    assert len({tuple(row) for row in answer.rows()}) == 1
    picture = answer.plot()
    assert picture.svg().startswith("<?xml")
    assert "nan" not in picture.description
    assert objections(picture) == []
    assert any("sha256" in text.get_text() for text in picture.figure.texts)


@pytest.mark.parametrize("name", DRAWN)
def test_what_is_drawn_are_the_numbers_of_the_answer(name):
    answer = answered(name)
    columns, unit, shown = DRAWN[name]
    numbers = drawn(answer.plot())
    told = [row[column] / unit for row in answer.rows() if shown(row) for column in columns]
    told = [number for number in told if np.isfinite(number)]
    assert told
    for number in told:
        assert np.abs(numbers - number).min() < 1e-6 * max(1.0, abs(number)), number


def test_the_spread_of_a_sample_is_counted_whole():
    answer = answered("sample")
    axes = answer.plot().figure.axes[0]
    assert [patch.get_data().values.sum() for patch in axes.patches] == [32, 32]
    low, high = np.percentile(answer.found.scores["released"], [5.0, 95.0])
    assert any(np.allclose(line.get_xdata(), [low, high]) for line in axes.lines)


def test_a_vehicle_is_short_in_one_line_and_whole_in_its_table():
    wagon = articulate.load(WAGON)
    assert len(repr(wagon)) < 400
    assert "\n" not in repr(wagon)
    assert wagon._repr_html_().startswith("<pre>")
    assert json.dumps(wagon.to_dict())
    assert wagon.table()


def test_a_figure_where_no_climb_has_a_score_says_so():
    short = articulate.Ramp(length="1 m")
    swept = articulate.sweep(WAGON, "wheelbase", ["2.8 m", "2.9 m"], short)
    assert "no score" in repr(swept)
    for answer in (swept, articulate.timeline(WAGON, short), articulate.worth(WAGON, short)):
        picture = answer.plot()
        assert "nan" not in picture.description
        assert "no score" in picture.description or "ramp ends" in picture.description
        assert objections(picture) == []


def test_a_figure_of_the_other_state_of_the_bars():
    assert "bars released" in answered("worth").plot(bars="released").svg()
    assert answered("explain").plot(bars="released").svg().startswith("<?xml")
    with pytest.raises(articulate.ArgumentError, match="connected or released"):
        answered("worth").plot(bars="off")
    bare = articulate.Result("", "an answer", str, dict)
    with pytest.raises(articulate.ArgumentError, match="no figure"):
        bare.plot()
    with pytest.raises(articulate.ArgumentError, match="no table"):
        bare.rows()


@pytest.mark.parametrize(
    ("slip", "why"),
    [
        (lambda: articulate.Ramp(angle=20.0), "a number has no unit"),
        (lambda: articulate.Ramp(side="Right", angle="40 deg"), "outside 5 to 35 deg.*not a side"),
        (lambda: articulate.predict(3), "not a vehicle"),
        (lambda: articulate.predict("nowhere.toml"), "nowhere.toml"),
        (lambda: articulate.predict(WAGON, "23 deg"), r"ramp '23 deg': not a Ramp"),
        (lambda: articulate.predict(WAGON, side="right"), r"side: the ramp says it; .*Ramp\(side='right'\)"),
        (lambda: articulate.band(WAGON, points="many", seed=-1), "points 'many': .*; seed -1: not a whole number"),
        (lambda: articulate.learn(WAGON, connected=587), "connected 587: not a text; write '587 ± 3'"),
        (lambda: articulate.carry(WAGON, 23.0), "to 23.0: not a text; write '23 deg'"),
        (lambda: articulate.target(WAGON, "590", {"rear.travel.bump": "70 mm to 120 mm"}), "score '590': not a number"),
        (lambda: articulate.ladder(WAGON, "255/70R17"), "give a list"),
        (lambda: articulate.load(WAGON).what_if(rear__travel__bump=95), "with their unit"),
        (lambda: articulate.band(WAGON, points=3), "outside 32"),
        (lambda: articulate.sweep(WAGON, "rear.travel.bump", "70 mm"), "a list of texts"),
        (lambda: articulate.learn(WAGON), "nothing was measured"),
        (
            lambda: articulate.learn(WAGON, seen=["roll", "lift=2"]),
            "seen roll: an equals sign.*seen lift=2: there is nothing",
        ),
        (lambda: articulate.learn(WAGON, connected="575 mm"), "a score has no unit"),
        (lambda: articulate.compare(WAGON), "a list"),
        (lambda: articulate.target(WAGON, 580.0, {"rear.travel.bump": "70 mm to 120 mm"}, bars="off"), "released"),
        (lambda: articulate.carry(WAGON, "50 deg"), "outside 5 to 35"),
        (lambda: band_of(Population.of(load_vehicle(WAGON)), side="Right"), "left or right"),
        (lambda: ramp_test(1, angle=20.0), "no ramp has it"),
        (lambda: climb_to_unload(stack([articulate.demo().arrays()] * 2), ramp_test(1)), "2 vehicles and 1 tests"),
        (lambda: predict_arrays("file.toml"), "not a vehicle's arrays"),
    ],
)
def test_a_slip_is_an_error_that_says_what_would_work(slip, why):
    with pytest.raises(articulate.ArticulateError, match=why):
        slip()


def test_every_example_is_asserted():
    assert {path.stem for path in EXAMPLES} == set(SAYS)
    assert len(EXAMPLES) >= 15


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_an_example_runs_and_says_what_it_is_for(path, capsys):
    lines = path.read_text(encoding="utf-8").splitlines()
    assert 5 <= len(lines) <= 30
    runpy.run_path(str(path), run_name="__main__")
    said = capsys.readouterr().out
    assert SAYS[path.stem] in said
    assert "nan" not in said


def test_a_larger_travel_never_scores_less_in_the_sweep():
    """Common practice, no source: more bump travel at the loaded rear wheel articulates further."""
    found = articulate.sweep(WAGON, "rear.travel.bump", [f"{mm} mm" for mm in (60, 80, 100, 120)]).found
    assert (np.diff(found.connected) > 0.0).all()


def test_a_sample_says_where_the_ramp_ends_first():
    told = articulate.sample(articulate.demo("wagon"), articulate.Ramp(length="1.7 m"), points=16).table()
    assert "bars released: 5 % below" in told
    assert "half below the ramp's end" in told
    assert "inf" not in told.split("by the inputs")[0]


STUDIES = {  # what an answer is worked out by, with the numbers it takes where nobody says any
    "band": band_of,
    "compare": compare,
    "ladder": tyre_ladder,
    "blocks": block_test,
}


@pytest.mark.parametrize("command", ["audit", "learn", *STUDIES])
def test_commands_the_library_and_studies_take_as_many_vehicles_and_the_same_seed(command):
    """Said at each, for help and signature: the same, or the same words would give two answers."""
    said = {one.name: one.default for one in typer.main.get_command(app).commands[command].params}
    others = [getattr(articulate, command, None), STUDIES.get(command)]
    taken = [inspect.signature(one).parameters for one in others if one is not None]
    named = {name for one in taken for name in ("points", "samples", "seed") if name in one and name in said}
    assert named
    for name in named:
        assert {one[name].default for one in taken if name in one} == {said[name]}, name
