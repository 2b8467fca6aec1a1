"""Jobs that SIGKILL ends at random moments: nothing is lost, nothing doubled, the next start mends what was half done.

Each job is done by a process of its own, which is killed between its first moment and a little after its usual last
one; then the job is done again, as a person would, and the book is read with nothing but its bytes.
"""

from __future__ import annotations

import json
import random
import shutil
import time
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import Any

from at_checks import _steady, answered_at_once
from at_keyboard import Time
from book.test_releases import answered, given, path
from clampbook.book.book import Book
from clampbook.book.checks import checks
from clampbook.book.keys import held_keys, make_key
from clampbook.book.mending import mend
from clampbook.book.merging.merging import merge
from clampbook.book.releases import give, releasing
from clampbook.book.sealing.of_check import CheckSigning
from clampbook.book.soundness.verifying import Verifying
from clampbook.book.starting.checking import checking, conclude, open_check
from clampbook.book.toolbox import put_tools, references, tools_file
from clampbook.check import prompts as check_prompts
from clampbook.check.planning import planned
from clampbook.ledger.stamp import Stamp
from clampbook.procedure.reader import read
from endurance.children import in_a_child
from endurance.rows import Found
from sealing import START, TOOLS, Shop, sealed, shop, signed, walked
from signers import PHRASE
from test_power_cut import fresh, person_added, sound

BEYOND = 1.15  # of the time a job takes, as the latest moment of a kill
_REFERENCE = """
[[tool]]
id = "r1"
name = "R1"
kind = "reference"
unit = "N·m"
range = ["1 N·m", "200 N·m"]
resolution = "0.01 N·m"
uncertainty = "0.5 %"
"""


@dataclass(frozen=True)
class Job:
    """`before` makes the book, `job` is what is killed, `again` what a person does then, `whole` how it must be."""

    before: Callable[[Path], object]
    job: Callable[[Shop], object]
    again: Callable[[Shop], object]
    whole: Callable[[Shop], object]


def kills(job: Job, place: Path, tries: int, seed: int) -> Found:
    """So many kills of a job, each at a fresh copy of its book."""
    before = place / "before"
    assert in_a_child(lambda: job.before(before)) == ""
    told, lasts = _undisturbed(job, before, place)
    found = Found(failures=[f"undisturbed: {told}"] if told else [])
    for number in range(tries):
        after = random.Random(f"{seed} {number}").uniform(0, lasts * BEYOND)
        _killed(job, before, place / "killed", after, found)
    return found


def _undisturbed(job: Job, before: Path, place: Path) -> tuple[str | None, float]:
    """What went wrong where nobody kills, and how many seconds the job takes, once all is loaded."""
    told, lasts = "", 0.0
    for number in range(2):
        root = place / f"undisturbed-{number}"
        shutil.copytree(before, root)
        began = time.monotonic()
        told = told or in_a_child(lambda root=root: job.job(fresh(root))) or ""  # type: ignore[misc]
        lasts = time.monotonic() - began
    return told, lasts


def _killed(job: Job, before: Path, root: Path, after: float, found: Found) -> None:
    found.tries += 1
    shutil.rmtree(root, ignore_errors=True)
    shutil.copytree(before, root)
    wrong = in_a_child(lambda: job.job(fresh(root)), after)
    found.seen["killed" if wrong is None else "got through"] += 1
    wrong = wrong or in_a_child(lambda: afterwards(job, root))
    if wrong:
        found.failures.append(f"killed after {after:.3f} s of it: {wrong}")


def afterwards(job: Job, root: Path) -> None:
    """The next start mends, the job is done again, and all is sound; a second time nothing is left to mend."""
    mend(Book.open(root))
    job.again(fresh(root))
    sound(fresh(root))
    job.whole(fresh(root))


def _book_to_seal(root: Path) -> None:
    walked(shop(root))


def _seal(at: Shop) -> None:
    signed(at, at.book.runs()[0]).seal()


def _is_sealed(at: Shop) -> None:
    (run,) = at.book.runs()
    assert (run.path / "seal.sha256").is_file()
    assert () == Verifying(at.book).run(run).faults
    assert [] == list(run.path.glob(".*"))


def _book_to_check(root: Path) -> None:
    at = shop(root)
    at.book.path("tools.toml").write_text(TOOLS + 'iso_6789 = "I C"\n' + _REFERENCE, encoding="utf-8")


def _check(at: Shop) -> None:
    answered_at_once(at.book, Time(), "w5", Decimal(1))


def _book_with_an_open_check(root: Path) -> None:
    _book_to_check(root)
    at = fresh(root)
    open_check(at.book, planned(at.book.tools()[0], references(at.book)[0], readings=2), at.ines, Time(), "handed in")


def _check_on(at: Shop) -> None:
    """The check that a kill left is gone on with; where there is none, it is begun."""
    left = [check for check in checks(at.book) if check.state == "open"]
    if not checks(at.book):
        _check(at)
    for check in left:
        with checking(at.book, check, clock=Time(), person=at.ines, fresh=False) as now:
            while not isinstance(now.prompt, check_prompts.Ended):
                now.answer(_steady(now.prompt, Decimal(1)))
        conclude(at.book, check)


def _is_checked(at: Shop) -> None:
    """It is closed, and whoever closed it can seal it as if nothing had happened."""
    (check,) = checks(at.book)
    assert check.state != "open"
    signing = CheckSigning(at.book, check, Time())
    if signing.wanted is not None:
        signing.give(PHRASE)
    signing.seal()
    assert () == Verifying(at.book).check(check).faults


def _book_to_release(root: Path) -> None:
    shop(root)


def _release(at: Shop) -> None:
    prepared = releasing(at.book, path(at), given(at, accepted=answered(at)))
    give(at.book, prepared, PHRASE, Stamp(START, "+00:00", at.maud.id))


def _release_unless_released(at: Shop) -> None:
    if read(path(at).read_bytes()).release is None or not _told_of_release(at):
        _release(at)


def _told_of_release(at: Shop) -> bool:
    return any(b'"procedure_released"' in line for line in at.book.log_lines())


def _is_released(at: Shop) -> None:
    assert read(path(at).read_bytes()).release is not None
    assert 1 == sum(b'"procedure_released"' in line for line in at.book.log_lines())


def _two_books(root: Path) -> None:
    shop(root)
    sealed(shop(root.with_name("theirs")))


def _merge(at: Shop) -> None:
    merge(at.book, Book.open(at.book.root.with_name("theirs")), {"at": "2026-05-01T12:00:00.000Z", "offset": "+02:00"})


def _is_merged(at: Shop) -> None:
    (run,) = at.book.runs()
    assert () == Verifying(at.book).run(run).faults
    assert [[run.id]] == [json.loads(line)["runs"] for line in at.book.log_lines() if b'"merged"' in line]
    theirs = Book.open(at.book.root.with_name("theirs")).runs()[0]
    assert {each.name: each.read_bytes() for each in theirs.path.iterdir() if each.is_file()} == {
        each.name: each.read_bytes() for each in run.path.iterdir() if each.is_file()
    }


def _make_key(at: Shop) -> None:
    make_key(at.book, at.book.person_named("Okke"), PHRASE, Stamp(START, "+00:00", "okke"))


def _make_key_unless_made(at: Shop) -> None:
    if not any(held.person == "okke" for held in held_keys(at.book)):
        _make_key(at)


def _has_a_key(at: Shop) -> None:
    assert 1 == sum(held.person == "okke" for held in held_keys(at.book))
    assert 0o600 == (at.book.root / "keys" / "okke.key").stat().st_mode & 0o777


def _change_tools(at: Shop) -> None:
    """A tool is written forty times, so that a kill finds it at work."""
    for _ in range(40):
        data = tools_file(at.book)
        put_tools(at.book, data, data.replace(b'"w6"', b'"wx"').replace(b'"w5"', b'"w6"').replace(b'"wx"', b'"w5"'))


def _has_its_tools(at: Shop) -> None:
    assert tuple(tool.id for tool in at.book.tools()) in (("w5",), ("w6",))


def _nothing(_: Any) -> None:
    return


def _plain_book(root: Path) -> None:
    shop(root)


JOBS = {
    "seal": Job(_book_to_seal, _seal, _seal, _is_sealed),
    "check": Job(_book_to_check, _check, _check_on, _is_checked),
    "merge": Job(_two_books, _merge, _merge, _is_merged),
    "release": Job(_book_to_release, _release, _release_unless_released, _is_released),
    "key making": Job(_plain_book, _make_key, _make_key_unless_made, _has_a_key),
    "tools.toml": Job(_plain_book, _change_tools, _nothing, _has_its_tools),
    "people.toml": Job(_plain_book, person_added, person_added, lambda at: at.book.people()),
}
AT_ONCE = {**JOBS, "check": Job(_book_with_an_open_check, _check_on, _check_on, _is_checked)}  # by two at a time
