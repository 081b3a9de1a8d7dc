"""Options as typed: what the model leaves out, ties between inputs, how a run of blocks is told."""

from __future__ import annotations

import io
import sys

import pytest
from typer.testing import CliRunner

from articulate.cli import app
from articulate.cli.population_options import progress_on_stderr, read_model_error, read_ties
from articulate.cli.reading import as_tyre_options
from articulate.climb import Outcome
from articulate.output.text.blocks import _outcome
from articulate.output.units import MILLIMETRES_FIRST
from articulate.spec import SpecError, load_vehicle, with_setting
from articulate.studies.population.model_error import ASSUMED_MODEL_ERROR, NO_MODEL_ERROR

WAGON = "vehicle_specs_demo/wagon.toml"


def read(reader, typed):
    faults = []
    return reader(typed, faults), faults


def test_two_parts_of_the_models_own_error_are_read():
    found, faults = read(read_model_error, "4 %, 2 %")
    assert not faults
    assert (found.common, found.run) == (0.04, 0.02)
    assert read(read_model_error, "0") == (NO_MODEL_ERROR, [])
    assert read(read_model_error, "0, 0") == (NO_MODEL_ERROR, [])


@pytest.mark.parametrize(
    ("typed", "told"),
    [("4 %", "two parts are needed"), ("4 %, 200 %", "outside 0 to"), ("much, little", "--model-error much")],
)
def test_what_is_no_model_error_leaves_the_assumed_one_and_a_fault(typed, told):
    found, faults = read(read_model_error, typed)
    assert found == ASSUMED_MODEL_ERROR
    assert told in " ".join(faults)


def test_ties_are_two_keys_and_a_number_between_minus_one_and_one():
    found, faults = read(read_ties, ["front.track, rear.track=0.8", "a,b=2", "a=1", "a,b=much", "a,b"])
    assert found == {("front.track", "rear.track"): 0.8}
    assert [fault.partition(":")[0] for fault in faults] == ["--tie a,b=2", "--tie a=1", "--tie a,b=much", "--tie a,b"]


def test_how_a_climb_of_blocks_ended_is_told():
    told = {one: _outcome(one, 2, MILLIMETRES_FIRST) for one in Outcome}
    assert told[Outcome.WHEEL_LIFTS] == "rear left lifts"
    assert told[Outcome.EQUILIBRIUM_JUMPS] == "jumps, rear left up"
    assert told[Outcome.RAMP_ENDS].startswith("none lifts by ")
    assert all(told.values())


class Screen(io.StringIO):
    """What a person watches."""

    def isatty(self):
        return True


def test_progress_is_shown_to_a_person_alone_and_wiped_at_the_end(monkeypatch):
    monkeypatch.setattr(sys, "stderr", io.StringIO())
    assert progress_on_stderr("climbing") is None
    screen = Screen()
    monkeypatch.setattr(sys, "stderr", screen)
    progress = progress_on_stderr("climbing")
    assert progress is not None
    progress(128, 1024)
    assert screen.getvalue() == "\rclimbing: 128 of 1024"
    progress(1024, 1024)
    assert screen.getvalue().endswith("\r" + " " * len("climbing: 1024 of 1024") + "\r")


def test_faults_of_tyres_are_told_as_the_options_typed():
    done = CliRunner().invoke(app, ["predict", WAGON, "--set", "front.tyre.pressure=900 bar"])
    assert done.exit_code == 2
    with pytest.raises(SpecError) as found:
        with_setting(load_vehicle(WAGON), "front.tyre.pressure", "900 bar")
    told = as_tyre_options(found.value)
    assert told.startswith("--pressure 900 bar: ")
    assert len(told.splitlines()) == 1
