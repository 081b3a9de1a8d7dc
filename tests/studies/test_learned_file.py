"""The saved file: it loads, holds the posterior, keeps everything else, and says where its numbers are from."""

from pathlib import Path

import numpy as np
import pytest

from articulate.spec import load_vehicle, read_vehicle, template
from articulate.studies.learn.learned_file import LearnedFileError, band_of_file, learned_file, moved
from articulate.studies.learn.learning import input_posteriors, learn
from articulate.studies.learn.readings import InputReading, ScoreReading
from articulate.studies.population.model_error import NO_MODEL_ERROR
from articulate.studies.population.runs import Population, cases_of, simulate

FILES = sorted(Path("vehicle_specs_demo").glob("*.toml"))


def learned_from(path, share=0.85, points=1024):
    people = Population.of(load_vehicle(path))
    cases = cases_of(people.spec)
    prior = simulate(people, cases, points)
    score = float(np.quantile(prior.ends[cases[0]].score, share))
    return learn(prior, [ScoreReading(cases[0], score, 3.0)], model=NO_MODEL_ERROR, enough=150.0)


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_every_demo_vehicle_can_be_saved(path):
    learned = learned_from(path)
    text = path.read_text(encoding="utf-8")
    saved = learned_file(text, learned)
    before = learned.runs.population.spec
    by_key = {one.key: one for one in input_posteriors(learned)}
    assert saved.changed
    assert set(saved.changed) | set(saved.refused) | set(saved.of_the_test) == {
        key for key, one in by_key.items() if moved(one)
    }
    for key in saved.changed:
        estimate, one = saved.spec.inputs[key], by_key[key]
        # a range that met its old limits is cut there
        cut = estimate.low == pytest.approx(before.inputs[key].low) or estimate.high == pytest.approx(
            before.inputs[key].high
        )
        assert estimate.value == pytest.approx(one.mean, abs=0.35 * one.deviation if cut else 0.02 * one.deviation)
        assert estimate.standard_uncertainty == pytest.approx(one.deviation, rel=0.25 if cut else 0.01)
        assert estimate.source == before.inputs[key].source
    for key, estimate in saved.spec.inputs.items():
        if key not in saved.changed:
            was = before.inputs[key]
            assert (estimate.value, estimate.low, estimate.high) == (was.value, was.low, was.high), key
    for line in text.splitlines():
        if line.startswith("#"):
            assert line in saved.text
    assert saved.text.count("learned from score, bars connected, left side") == len(saved.changed)
    assert "was " in saved.text


def test_the_saved_band_moves_towards_what_was_learned():
    learned = learned_from(Path("vehicle_specs_demo/crossover_minimal.toml"), share=0.95)
    saved = learned_file(Path("vehicle_specs_demo/crossover_minimal.toml").read_text(encoding="utf-8"), learned)
    case = learned.cases[0]
    alone = band_of_file(saved, learned, points=512)[case.case]
    assert case.after is not None
    assert case.before.median < alone.median < case.after.high
    assert case.after.width < alone.width < case.before.width


def test_what_is_learned_about_one_input_alone_is_reproduced():
    """Nothing is lost where inputs were not learned about together."""
    path = Path("vehicle_specs_demo/crossover_minimal.toml")
    people = Population.of(load_vehicle(path), ties={})
    cases = cases_of(people.spec)
    prior = simulate(people, cases, 2048)
    key = "front.spring.ride_frequency"
    learned = learn(prior, [InputReading(key, 1.5, 0.02, "Hz", 1.0)], model=NO_MODEL_ERROR)  # a file holds inputs alone
    saved = learned_file(path.read_text(encoding="utf-8"), learned)
    assert key in saved.changed
    assert "learned from front.spring.ride_frequency 1.5, standard uncertainty 0.02 Hz" in saved.text
    runs = simulate(Population.of(saved.spec, ties={}), cases, 2048)
    again = np.quantile(runs.ends[cases[0]].score, [0.05, 0.5, 0.95])
    after = learned.cases[0].after
    assert after is not None
    np.testing.assert_allclose(again, [after.low, after.median, after.high], atol=4.0)


@pytest.mark.parametrize("share", [0.02, 0.98])
def test_a_bar_that_may_not_be_there_is_saved_with_its_chance(share):
    text = template(minimal=True).replace("anti_roll_bar = false", 'anti_roll_bar = "unknown"')
    key = "rear.anti_roll_bar.over_spring_roll_stiffness"
    people = Population.of(read_vehicle(text, "unknown.toml"))
    cases = cases_of(people.spec)
    prior = simulate(people, cases, 1024)
    score = float(np.quantile(prior.ends[cases[0]].score, share))
    learned = learn(prior, [ScoreReading(cases[0], score, 3.0)], model=NO_MODEL_ERROR, enough=150.0)
    saved = learned_file(text, learned)
    before, after = people.spec.inputs[key], saved.spec.inputs[key]
    there = float(learned.weights @ (learned.runs.samples[key] > 0.0))
    assert key in saved.changed
    assert after.chance == pytest.approx(np.clip(there, 0.01, 0.99), abs=1e-3)
    assert (after.chance > before.chance + 0.1) == (share < 0.5)  # a bar costs score
    assert (after.chance < before.chance - 0.1) == (share > 0.5)
    if share < 0.5:
        assert after.value == pytest.approx(learned.weights @ learned.runs.samples[key] / there, rel=1e-3)


def test_nothing_learned_is_not_written():
    path = Path("vehicle_specs_demo/ladder_frame_pickup.toml")
    people = Population.of(load_vehicle(path))
    cases = cases_of(people.spec)
    prior = simulate(people, cases, 256)
    nothing = learn(prior, [ScoreReading(cases[0], 545.0, 1e6)])
    with pytest.raises(LearnedFileError, match="no input of the vehicle moved"):
        learned_file(path.read_text(encoding="utf-8"), nothing)
    lost = learn(prior, [ScoreReading(cases[0], 900.0, 1.0)], model=NO_MODEL_ERROR)
    assert not lost.trusted
    with pytest.raises(LearnedFileError, match="too few points"):
        learned_file(path.read_text(encoding="utf-8"), lost)
