"""The runs and checks of a book verified in order, several at once where there are processors for it.

A small book is verified before a second process could begin. A large one is handed out in small bundles, and what is
found comes back in the order of the book. Where processes cannot be started, or one of them dies, this one does it
all.
"""

from __future__ import annotations

import gc
import multiprocessing
import os
import signal
from collections import deque
from collections.abc import Generator, Iterator, Mapping, Sequence
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from itertools import islice
from multiprocessing.context import BaseContext
from pathlib import Path
from threading import Thread
from time import monotonic

from clampbook.book.book import Book
from clampbook.book.soundness.found import Looked
from clampbook.book.soundness.stopped import Before
from clampbook.book.soundness.verifying import Verifying
from clampbook.run_folder import RunFolder
from clampbook.signing.allowed import Allowed

ALONE = 0.7  # seconds of one process, and as many expected still, before others are started
_BUNDLE = 8  # runs that are handed to a process at once
_AHEAD = 3  # bundles handed out for each process, so that none waits

_CANNOT_START = (OSError, ImportError, NotImplementedError, BrokenProcessPool)

_here: Verifying | None = None  # what this process verifies with; one that was forked has it from the start
_before: Mapping[str, Before] = {}


def looked_at(
    verifying: Verifying,
    folders: Sequence[RunFolder],
    before: Mapping[str, Before],
    *,
    alone: float = ALONE,
    at_once: int | None = None,
    context: BaseContext | None = None,
) -> Generator[Looked]:
    """Look at each folder, in their order. `before` is what was found of some before this pass was stopped."""
    at_once = processors() if at_once is None else at_once
    begun, done = monotonic(), 0
    for folder in folders:
        took = monotonic() - begun
        if at_once > 1 and took >= alone and (not done or took / done * (len(folders) - done) >= alone):
            break
        yield verifying.look(folder, before)
        done += 1
    if done < len(folders):
        for found in _in_processes(verifying, folders[done:], before, at_once, context):
            yield found
            done += 1
    for folder in folders[done:]:
        yield verifying.look(folder, before)


def processors() -> int:
    """Count the processors that there are for this program."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def _in_processes(
    verifying: Verifying,
    folders: Sequence[RunFolder],
    before: Mapping[str, Before],
    at_once: int,
    context: BaseContext | None,
) -> Iterator[Looked]:
    """The same in processes of their own; ends early where they cannot be had."""
    global _here, _before
    _here, _before = verifying, before
    gc.freeze()  # so that processes share what was read of the logs, and none looks through it for garbage
    whole = False
    try:
        pool = ProcessPoolExecutor(at_once, context, _begin, (verifying.root, verifying.outside, before))
    except _CANNOT_START:
        return
    try:
        yield from _handed_out(pool, folders, at_once)
        whole = True
    except _CANNOT_START:
        return
    finally:
        _here, _before = None, {}
        _end(pool, whole)
        gc.unfreeze()


def _handed_out(pool: ProcessPoolExecutor, folders: Sequence[RunFolder], at_once: int) -> Iterator[Looked]:
    rest = iter(folders)
    waiting: deque[Future[list[Looked]]] = deque()
    while True:
        while len(waiting) < at_once * _AHEAD and (bundle := tuple(islice(rest, _BUNDLE))):
            waiting.append(pool.submit(_look, bundle))
        if not waiting:
            return
        yield from waiting.popleft().result()


def _end(pool: ProcessPoolExecutor, whole: bool) -> None:
    """Send the processes home; nobody who stops it waits for the runs that they are at."""
    if whole:
        pool.shutdown()
        return
    pool.shutdown(wait=False, cancel_futures=True)
    for process in multiprocessing.active_children():
        process.terminate()


def _begin(root: Path, outside: tuple[Allowed, ...] | None, before: Mapping[str, Before]) -> None:
    """Make a new process ready: it leaves Ctrl-C to the one that started it, and ends when that does."""
    global _here, _before
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    Thread(target=_end_with_parent, daemon=True).start()
    if _here is None:
        _here, _before = Verifying(Book.open(root), outside), before


def _end_with_parent() -> None:
    parent = multiprocessing.parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)


def _look(folders: tuple[RunFolder, ...]) -> list[Looked]:
    assert _here is not None
    return [_here.look(each, _before) for each in folders]
