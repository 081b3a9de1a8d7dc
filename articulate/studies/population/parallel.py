"""Independent pieces of a large study on several cores, with the same results as one after the other."""

from __future__ import annotations

import multiprocessing
import os
import warnings
from collections.abc import Callable, Sequence
from concurrent.futures import ProcessPoolExecutor
from typing import TypeVar

Item = TypeVar("Item")
Result = TypeVar("Result")

WORTHWHILE = 3000  # climbs, below which starting processes costs more than it saves


def cores() -> int:
    """Cores this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else (os.cpu_count() or 1)


def on_cores(work: Callable[[Item], Result], items: Sequence[Item], climbs: int) -> list[Result]:
    """`[work(item) for item in items]`, in processes of their own where that is quicker.

    Args:
        work: a function of a module (not a closure); what it takes and returns must be able to travel.
        items: one a piece of work.
        climbs: how many climbs it all comes to; few are done here.

    Returns:
        The results in the order of the items. An error in a piece of work is raised here.
    """
    here = multiprocessing.current_process().daemon or "fork" not in multiprocessing.get_all_start_methods()
    if here or climbs < WORTHWHILE or len(items) < 2 or cores() < 2:
        return [work(item) for item in items]
    with warnings.catch_warnings():
        # Forked with the threads of a linear algebra library around, which we do not use in the child.
        warnings.simplefilter("ignore", DeprecationWarning)
        pool = ProcessPoolExecutor(min(cores(), len(items)), multiprocessing.get_context("fork"))
        with pool:
            return list(pool.map(work, items))
