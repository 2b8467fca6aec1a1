"""Two who do the same job in one book at once: one is told who writes, or both get through, and it is done once."""

from __future__ import annotations

import contextlib
import random
import shutil
import time
from pathlib import Path

from clampbook.faults import Faulty
from clampbook.ledger.refusals import LedgerFault
from clampbook.signing.wire import KeyFault
from endurance.children import begun, in_a_child
from endurance.killing import Job, afterwards
from endurance.rows import Found
from test_power_cut import fresh

APART = 0.2  # seconds at most between the two


def two_writers(jobs: dict[str, Job], place: Path, tries: int, seed: int) -> Found:
    """So many tries with two processes, the jobs by turns."""
    found = Found()
    names = list(jobs)
    for number in range(tries):
        name = names[number % len(names)]
        before = place / name / "before"
        if not before.exists():
            before.parent.mkdir()
            assert in_a_child(lambda name=name, before=before: jobs[name].before(before)) == ""  # type: ignore[misc]
        _two(jobs[name], before, random.Random(f"{seed} {number}"), found, name)
    return found


def _two(job: Job, before: Path, chance: random.Random, found: Found, name: str) -> None:
    found.tries += 1
    root = before.with_name("two")
    shutil.rmtree(root, ignore_errors=True)
    shutil.copytree(before, root)
    children = []
    for _ in range(2):
        children.append(begun(lambda: _unless_refused(job, root)))
        time.sleep(chance.uniform(0, APART))
    ended = [child.ended() for child in children]
    wrong = "".join("ended by a signal" if each is None else each for each in ended)
    wrong = wrong or in_a_child(lambda: afterwards(job, root)) or ""
    if wrong:
        found.failures.append(f"{name}: {wrong}")


def _unless_refused(job: Job, root: Path) -> None:
    """One of the two may be told that the other writes, or that it is done."""
    with contextlib.suppress(LedgerFault, Faulty, KeyFault):
        job.job(fresh(root))
