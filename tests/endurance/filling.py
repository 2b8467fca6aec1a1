"""A disk that is full from one of its writes on: it is told in a sentence, and with room again the job is done whole.

The writes of a job are counted first; then each try has no room from one of them on, until it is done again.
"""

from __future__ import annotations

import errno
import os
import random
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

from clampbook.faults import Faulty
from clampbook.ledger.refusals import LedgerFault
from clampbook.signing.wire import KeyFault
from endurance.children import in_a_child
from endurance.killing import Job, afterwards
from endurance.rows import Found
from test_power_cut import fresh


def full_disks(job: Job, place: Path, tries: int, seed: int) -> Found:
    """So many full disks while a job is done, each at a fresh copy of its book."""
    before, count = place / "before", place / "writes"
    assert in_a_child(lambda: job.before(before)) == ""
    root = place / "full"
    shutil.copytree(before, root)
    found = Found()
    told = in_a_child(lambda: _counting(lambda: job.job(fresh(root)), count))
    if told:
        found.failures.append(f"undisturbed: {told}")
        return found
    writes = int(count.read_text(encoding="utf-8"))
    for number in range(tries):
        _filled(job, before, root, random.Random(f"{seed} {number}").randint(1, writes), found)
    return found


def _filled(job: Job, before: Path, root: Path, write: int, found: Found) -> None:
    found.tries += 1
    shutil.rmtree(root)
    shutil.copytree(before, root)
    wrong = in_a_child(lambda: _without_room(lambda: job.job(fresh(root)), write))
    wrong = wrong or in_a_child(lambda: afterwards(job, root))
    if wrong:
        found.failures.append(f"full from write {write} on: {wrong}")


def _without_room(what: Callable[[], object], write: int) -> None:
    """Do something on a disk that is full from this write on; what is told of it is a sentence of ours."""
    real = os.write
    left = write

    def full(file: int, data: Any) -> int:
        nonlocal left
        left -= 1
        if left > 0:
            return real(file, data)
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    os.write = full
    try:
        what()
    except (LedgerFault, Faulty, KeyFault):
        return
    finally:
        os.write = real


def _counting(what: Callable[[], object], count: Path) -> None:
    """Do something, and note how often it wrote."""
    real, writes = os.write, 0

    def counted(file: int, data: Any) -> int:
        nonlocal writes
        writes += 1
        return real(file, data)

    os.write = counted
    try:
        what()
    finally:
        os.write = real
    count.write_text(str(writes), encoding="utf-8")
