"""The runs and checks of a book verified in order, several at once where there are processors for it.

A small book is verified before a second process could begin. Where processes cannot be started, or one of them dies,
this one does it all.
"""

from __future__ import annotations

import os
from collections.abc import Generator, Mapping, Sequence
from time import monotonic
from typing import TYPE_CHECKING

from clampbook.book.soundness.found import Looked
from clampbook.book.soundness.stopped import Before
from clampbook.book.soundness.verifying import Verifying
from clampbook.run_folder import RunFolder

if TYPE_CHECKING:
    from multiprocessing.context import BaseContext

ALONE = 0.7  # seconds of one process, and as many expected still, before others are started


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
        from clampbook.book.soundness.in_processes import in_processes  # what starts them takes a while to load

        for found in in_processes(verifying, folders[done:], before, at_once, context):
            yield found
            done += 1
    for folder in folders[done:]:
        yield verifying.look(folder, before)


def processors() -> int:
    """Count the processors that there are for this program."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1
