"""Memory of many climbs: that of a block of them, and what is kept of each."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

FEW, MANY = 6144, 14336  # three blocks and seven, in this process
MEASURED = f"""
import json
from dataclasses import fields, is_dataclass
import numpy as np
from articulate.climb import climb_to_unload
from articulate.spec import load_vehicle
from articulate.studies.population import conditions
from articulate.studies.population.runs import Population, cases_of, simulate, simulated_blocks

def highest():
    "The most memory this process had so far, in bytes."
    lines = open("/proc/self/status").read().splitlines()
    return 1024 * next(int(line.split()[1]) for line in lines if line.startswith("VmHWM"))

def size(found):
    if isinstance(found, np.ndarray):
        return found.nbytes
    if isinstance(found, dict):
        return sum(map(size, found.values()))
    names = [field.name for field in fields(found)] if is_dataclass(found) else []
    return sum(size(getattr(found, name)) for name in names if name != "population")

def grown(work):
    before = highest()
    found = work()
    return highest() - before, size(found)

spec = load_vehicle("vehicle_specs_demo/crossover_minimal.toml")
people, given = Population.of(spec), conditions.Conditions()
cases = cases_of(spec)

def scores(points):
    return np.concatenate([block.ends[cases[0]].score for block in simulated_blocks(people, cases, points)])

scores({FEW})
found = {{"scores": grown(lambda: scores({MANY})), "runs": grown(lambda: simulate(people, cases, {MANY}))}}
vehicles, test = conditions.lanes_of(spec, given, conditions.draw(spec, given, {MANY}))
conditions.MOST_CLIMBS = 2048
found["ends"] = grown(lambda: conditions.climbs_of(vehicles, test, cases))
found["paths"] = grown(lambda: climb_to_unload(vehicles, test))
print(json.dumps(found))
"""


@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="reads a process's memory in /proc")
def test_memory_grows_by_what_is_kept_of_each_climb_alone():
    done = subprocess.run([sys.executable, "-c", MEASURED], capture_output=True, text=True, check=True)
    grown = json.loads(done.stdout)  # bytes: the peak, and what is kept
    everything = grown["runs"][1]  # inputs, where each climb ends, every measure there
    assert 1000.0 < everything / MANY < 1500.0
    assert grown["scores"][0] < 0.5 * everything  # a score each, and what a process's memory scatters
    assert grown["runs"][0] < 1.3 * everything
    assert grown["ends"][0] < 3.0 * grown["ends"][1]
    assert grown["paths"][0] > 1.5 * everything  # all at once, with their ways: what is measured here can be seen
