"""Two who do the same job in one book at once: one is told who writes, or both get through, and it is done once."""

from __future__ import annotations

import os
import random
import shutil
import time
import traceback
from pathlib import Path

from clampbook.faults import Faulty
from clampbook.ledger.refusals import LedgerFault
from clampbook.signing.wire import KeyFault
from endurance.killing import Job, afterwards, in_a_child
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
        children.append(_begun(job, root))
        time.sleep(chance.uniform(0, APART))
    wrong = "".join(filter(None, (_ended(*child) for child in children)))
    wrong = wrong or in_a_child(lambda: afterwards(job, root)) or ""
    if wrong:
        found.failures.append(f"{name}: {wrong}")


def _begun(job: Job, root: Path) -> tuple[int, int]:
    told, tell = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            job.job(fresh(root))
        except (LedgerFault, Faulty, KeyFault):
            pass
        except BaseException:
            os.write(tell, traceback.format_exc()[-3000:].encode())
        finally:
            os._exit(0)
    os.close(tell)
    return child, told


def _ended(child: int, told: int) -> str:
    with os.fdopen(told, "rb") as pipe:
        wrong = pipe.read().decode(errors="replace")
    os.waitpid(child, 0)
    return wrong
