"""Pieces of work on several cores come back as they would one after the other, and leave no process behind."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from articulate.studies.population import parallel
from articulate.studies.population.parallel import WORTHWHILE, on_cores

TWO_AT_WORK = """
import os, time
from articulate.studies.population import parallel
parallel.cores = lambda: 2
def work(number):
    os.write(1, f"{os.getpid()}\\n".encode())  # at once, that lines of two do not mix
    time.sleep(0.2)
    return number
try:
    for _ in parallel.on_cores(work, range(200), parallel.WORTHWHILE):
        pass
except KeyboardInterrupt:
    print("interrupted", flush=True)
"""


@pytest.fixture(autouse=True)
def _two_cores(monkeypatch):
    monkeypatch.setattr(parallel, "cores", lambda: 2)


def square_and_process(number):
    return number * number, os.getpid()


def fails_at_two(number):
    if number == 2:
        raise ValueError("two")
    return number


def dies_at_two(number):
    if number == 2:
        os._exit(1)
    return number


def test_results_keep_their_order_and_few_climbs_stay_here():
    many = list(on_cores(square_and_process, [3, 1, 2], climbs=WORTHWHILE))
    few = list(on_cores(square_and_process, [3, 1, 2], climbs=WORTHWHILE - 1))
    assert [result for result, _ in many] == [result for result, _ in few] == [9, 1, 4]
    assert {process for _, process in few} == {os.getpid()}
    assert len({process for _, process in many} | {os.getpid()}) == 3


@pytest.mark.parametrize("climbs", [0, WORTHWHILE])
def test_an_error_comes_out(climbs):
    with pytest.raises(ValueError, match="two"):
        list(on_cores(fails_at_two, [1, 2, 3], climbs))


def test_a_process_that_is_ended_from_outside_is_said():
    with pytest.raises(ChildProcessError, match="ended from outside"):
        list(on_cores(dies_at_two, [1, 2, 3], WORTHWHILE))


def running(process):
    """Whether there is such a process that still does something."""
    try:
        return Path(f"/proc/{process}/stat").read_text(encoding="ascii").rpartition(")")[2].split()[0] != "Z"
    except FileNotFoundError:
        return False


@pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="looks processes up in /proc")
@pytest.mark.parametrize(
    ("sent", "to_all"),
    [(signal.SIGINT, True), (signal.SIGINT, False), (signal.SIGTERM, False), (signal.SIGKILL, False)],
)
def test_no_process_is_left_when_the_one_that_asked_ends(sent, to_all):
    """Ctrl-C goes to all processes of a terminal; what ends one of them goes to that alone."""
    one = subprocess.Popen(
        [sys.executable, "-c", TWO_AT_WORK], stdout=subprocess.PIPE, text=True, start_new_session=True
    )
    workers = {int(one.stdout.readline()) for _ in range(6)}
    assert len(workers) == 2
    assert all(map(running, workers))
    if to_all:
        os.killpg(one.pid, sent)
    else:
        one.send_signal(sent)
    said, _ = one.communicate(timeout=20)  # ends when no process has its output open any more
    assert ("interrupted" in said) == (sent == signal.SIGINT)
    assert one.returncode == (0 if sent == signal.SIGINT else -sent)
    until = time.monotonic() + 20.0
    while any(map(running, workers)) and time.monotonic() < until:
        time.sleep(0.02)
    assert not any(map(running, workers))
