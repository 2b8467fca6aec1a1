"""Runs and checks handed out to several processes in small bundles; what is found comes back in their order."""

from __future__ import annotations

import gc
import multiprocessing
import os
import signal
from collections import deque
from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from itertools import islice
from multiprocessing.context import BaseContext
from pathlib import Path
from threading import Thread

from clampbook.book.book import Book
from clampbook.book.soundness.found import Looked
from clampbook.book.soundness.stopped import Before
from clampbook.book.soundness.verifying import Verifying
from clampbook.run_folder import RunFolder
from clampbook.signing.allowed import Allowed

_BUNDLE = 8  # runs that are handed to a process at once
_AHEAD = 3  # bundles handed out for each process, so that none waits

_CANNOT_START = (OSError, ImportError, NotImplementedError, BrokenProcessPool)

_here: Verifying | None = None  # what this process verifies with; one that was forked has it from the start
_before: Mapping[str, Before] = {}


def in_processes(
    verifying: Verifying,
    folders: Sequence[RunFolder],
    before: Mapping[str, Before],
    at_once: int,
    context: BaseContext | None,
) -> Iterator[Looked]:
    """Look at each folder in processes of their own, in order; ends early where they cannot be had."""
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
