"""Who works: one after another here, a pool of processes on this machine, or a dask cluster by its address.

All are executors of `concurrent.futures`; a study asks no more of them than `submit`.
"""

from __future__ import annotations

import gc
import multiprocessing
import os
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import FIRST_COMPLETED, Executor, Future, ProcessPoolExecutor, wait
from contextlib import contextmanager
from importlib import import_module
from multiprocessing.connection import wait as wait_for
from typing import Any

from halfglass.vocabulary.errors import HalfglassFailure

AHEAD = 2
"""Tasks waiting for each worker: enough to keep it busy, few enough to keep memory flat."""


Progress = Callable[[int, int], None]
"""Called with days done and days in all."""


def silent(_done: int, _whole: int) -> None:
    """No progress."""


class Here(Executor):
    """Runs each task at once, in this process, which is given back as it was."""

    def shutdown(self, wait: bool = True, *, cancel_futures: bool = False) -> None:
        """Let the collector see again what was there before the first task."""
        gc.unfreeze()

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        """Run a task; its future is done."""
        future: Future[Any] = Future()
        try:
            future.set_result(fn(*args, **kwargs))
        except Exception as error:
            future.set_exception(error)
        return future


@contextmanager
def executor(jobs: int, cluster: str | None = None) -> Iterator[tuple[Executor, int]]:
    """An executor and its number of workers: here for one job, a pool for more, or a cluster by address."""
    if cluster is not None:
        with _dask(cluster) as (made, workers):
            yield made, workers
    elif jobs == 1:
        with Here() as made:
            yield made, 1
    else:
        spawn = multiprocessing.get_context("spawn")
        pool = ProcessPoolExecutor(jobs, mp_context=spawn, initializer=_end_with_parent)
        try:
            yield pool, jobs
        finally:
            pool.shutdown(cancel_futures=True)


def results(made: Executor, workers: int, work: Callable[[Any], Any], tasks: Iterator[Any]) -> Iterator[Any]:
    """What each task comes to, in the order in which they are done; only a few are under way at a time."""
    going: set[Future[Any]] = set()
    try:
        for task in tasks:
            going.add(made.submit(_work_and_let_go, work, task))
            if len(going) >= AHEAD * workers:
                done, going = wait(going, return_when=FIRST_COMPLETED)
                yield from (future.result() for future in done)
        while going:
            done, going = wait(going, return_when=FIRST_COMPLETED)
            yield from (future.result() for future in done)
    finally:
        for future in going:
            future.cancel()


def _work_and_let_go(work: Callable[[Any], Any], task: Any) -> Any:
    """Do a task and let go of its days.

    A day is a circle of processes and plant, which only the collector finds; left to itself it does so once
    in hundreds of days. What is there after the first task (libraries, mostly) is kept out of its sight, or
    each search would go through it all: 60 ms instead of 1.
    """
    done = work(task)
    gc.collect()
    if not gc.get_freeze_count():
        gc.freeze()
    return done


def _end_with_parent() -> None:
    """In a worker: end when the process that asked for the work is gone, however it went."""
    parent = multiprocessing.parent_process()
    assert parent is not None

    def watch() -> None:
        wait_for([parent.sentinel])
        os._exit(1)

    threading.Thread(target=watch, daemon=True).start()


@contextmanager
def _dask(address: str) -> Iterator[tuple[Executor, int]]:
    try:
        distributed = import_module("distributed")
    except ImportError:
        raise HalfglassFailure(
            "a cluster wants the extra 'cluster': pip install 'halfglass[cluster]'"
        ) from None
    with distributed.Client(address) as client:
        workers = sum(client.ncores().values())
        if not workers:
            raise HalfglassFailure(f"the cluster at {address} has no workers")
        yield client.get_executor(), workers
