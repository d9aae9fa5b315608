"""Does the same to many things on all cores, and gives the results in their order."""

from __future__ import annotations

import argparse
import contextlib
import os
import signal
import sys
import threading
from collections import deque
from collections.abc import Callable, Generator, Iterable, Sequence
from typing import TYPE_CHECKING, TypeVar

from walkthrough.cli_arguments import wrong

if TYPE_CHECKING:
    from concurrent.futures import Future

Thing = TypeVar("Thing")
Result = TypeVar("Result")

WORTH_IT = 4
"""Fewer things than this are done here: a process has to start and to read the rules first."""

_AHEAD = 4
"""How many things for each process are handed out before the first result is taken."""


def add_jobs_option(parser: argparse.ArgumentParser) -> None:
    """Add the number of processes."""
    parser.add_argument(
        "--jobs",
        type=_jobs,
        metavar="N",
        help="how many records are judged at the same time; one for each core if nothing is said",
    )


def spread(
    do: Callable[[Thing], Result], things: Sequence[Thing], jobs: int | None = None
) -> Generator[Result, None, None]:
    """What becomes of each thing, in their order, whatever the number of processes.

    Without `jobs` all cores are used where there are enough things. `do`, the things and the
    results go to other processes, so they must be of a kind that can be sent there. Only few
    things are under way at a time; when the iterator is closed, no more is begun.
    """
    jobs = min(jobs or (cores() if len(things) >= WORTH_IT else 1), len(things))
    if jobs < 2:
        yield from map(do, things)
        return
    # Imported only here: one record need not wait for it.
    from concurrent.futures import ProcessPoolExecutor
    from concurrent.futures.process import BrokenProcessPool

    pool = ProcessPoolExecutor(jobs, initializer=_settle)
    under_way: deque[Future[Result]] = deque()
    try:
        for thing in things:
            with _no_interrupt() if not under_way else contextlib.nullcontext():
                under_way.append(pool.submit(do, thing))
            if len(under_way) == jobs * _AHEAD:
                yield under_way.popleft().result()
        while under_way:
            yield under_way.popleft().result()
    except BrokenProcessPool:
        message = "a process was ended from outside, perhaps for want of memory; try fewer"
        raise wrong("--jobs", message) from None
    finally:
        pool.shutdown(cancel_futures=True)


@contextlib.contextmanager
def _no_interrupt() -> Generator[None, None, None]:
    """A process that is just starting would be torn by an interrupt that is meant for the first."""
    before = signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)


def counted(results: Iterable[Result], total: int, done: str) -> Generator[Result, None, None]:
    """The results as they come; on a terminal a line says how many there are."""
    if not sys.stderr.isatty():
        yield from results
        return
    line = ""
    try:
        for number, result in enumerate(results, 1):
            line = f"{number} of {total} {done}"
            print(f"\r{line}", end="", file=sys.stderr, flush=True)
            yield result
    finally:
        print("\r" + " " * len(line), end="\r", file=sys.stderr, flush=True)


def cores() -> int:
    """How many cores this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def _settle() -> None:
    """In a new process: the keyboard stops the first one only, and none outlives it."""
    import multiprocessing

    signal.signal(signal.SIGINT, signal.SIG_IGN)
    first = multiprocessing.parent_process()
    assert first is not None

    def follow() -> None:
        first.join()
        os._exit(1)

    threading.Thread(target=follow, daemon=True).start()


def _jobs(text: str) -> int:
    number = int(text) if text.isdecimal() else 0
    if number < 1:
        message = f"found '{text}'; expected a number of processes from 1"
        raise wrong("--jobs", message)
    return number
