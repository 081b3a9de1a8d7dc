"""Independent pieces of a large study on several cores, with the same results as one after the other."""

from __future__ import annotations

import multiprocessing
import os
import signal
import warnings
from collections.abc import Callable, Iterator, Sequence
from multiprocessing.connection import Connection
from typing import TypeVar

Item = TypeVar("Item")
Result = TypeVar("Result")

# Climbs, about a second of them, below which processes take more time of the cores than the wait they spare is worth:
# two take 0.04 s to start and end, and what they found takes a tenth of the climbs' own time to travel.
WORTHWHILE = 16_000


def cores() -> int:
    """Cores this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else (os.cpu_count() or 1)


def on_cores(work: Callable[[Item], Result], items: Sequence[Item], climbs: int) -> Iterator[Result]:
    """`map(work, items)`, in processes of their own where that is quicker.

    They are copies of this one, so work and items need not be able to travel; a result has to. A process is at most
    one result ahead of what was taken here, so that results do not pile up. None is left when all results were taken
    or this was interrupted, and where this one is killed they end with the piece they are at.

    Args:
        work: what is done with each item.
        items: one a piece of work.
        climbs: how many climbs it all comes to; few are done here.

    Yields:
        The results in the order of the items. An error in a piece of work is raised here.
    """
    count = min(cores(), len(items))
    here = multiprocessing.current_process().daemon or "fork" not in multiprocessing.get_all_start_methods()
    if here or climbs < WORTHWHILE or count < 2:
        yield from map(work, items)
        return
    context = multiprocessing.get_context("fork")
    workers = []
    results: list[Connection] = []
    try:
        for k in range(count):
            take, give = context.Pipe(duplex=False)
            results.append(take)
            worker = context.Process(target=_work_off, args=(work, items[k::count], give, results), daemon=True)
            with warnings.catch_warnings():
                # Forked with the threads of a linear algebra library around, which we do not use in the child.
                warnings.simplefilter("ignore", DeprecationWarning)
                worker.start()
            workers.append(worker)
            give.close()
        for place in range(len(items)):
            try:
                found, error = results[place % count].recv()
            except EOFError as ended:
                raise ChildProcessError("a process that climbed for this one was ended from outside") from ended
            if error is not None:
                raise error
            yield found
    finally:
        for worker in workers:
            worker.terminate()
        for worker in workers:
            worker.join()
        for take in results:
            take.close()


def _work_off(
    work: Callable[[Item], Result], items: Sequence[Item], give: Connection, results: Sequence[Connection]
) -> None:
    """In a process of its own: give result after result, until nobody takes them any more."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the one that started this one ends it
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    for taken in results:  # else this copy would keep them open where the other process has gone
        taken.close()
    try:
        for item in items:
            try:
                found = (work(item), None)
            except Exception as error:  # noqa: BLE001 it is raised where the results are taken
                give.send((None, error))
                return
            give.send(found)
    except BrokenPipeError:
        pass
