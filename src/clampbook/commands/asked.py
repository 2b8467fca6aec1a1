"""The answers that the command line gives about a walk in advance, and the people and the run it means."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from clampbook.book.book import Book
    from clampbook.book.starting.terms import Work
    from clampbook.people import Person
    from clampbook.plain.lines import Lines
    from clampbook.procedure.model import Procedure
    from clampbook.run_folder import RunFolder


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """The answers that the command line gives about the walk in advance."""

    procedure: str | None = None
    resume: str | None = None  # "" where no run was named
    as_json: bool = False
    by: str | None = None
    done_by: tuple[str, ...] = ()  # several only at the head of a form
    trial: bool = False
    joint: str | None = None
    only: str | None = None  # the joints of several that are done
    equipment: str | None = None
    follow_up: str | None = None
    of: str | None = None
    reason: str | None = None  # why a withdrawn procedure is started
    late: bool = False  # a filled paper form is typed in
    began: str | None = None  # the day and time at which that form begins
    form: str | None = None  # the code at its foot
    scans: tuple[Path, ...] = ()  # of that form
    new: bool = False  # names that the book does not know are those of somebody new


def named_run(book: Book, name: str) -> RunFolder | None:
    """The open run of this name, or the only one there is; None where several are open and none is named."""
    from clampbook.ledger.refusals import LedgerFault

    open_ones = book.open_runs()
    if name:
        meant = [run for run in open_ones if name in run.id]
        run = meant[0] if len(meant) == 1 else book.run(name)
        if run.state == "damaged":
            raise LedgerFault(f"run {run.id} is damaged. Close it with: clampbook close-damaged {run.id}")
        if run.state != "open":
            raise LedgerFault(f"run {run.id} is {run.state}. Read it with: clampbook record {run.id}")
        return run
    if not open_ones:
        raise LedgerFault("No open runs. Start one with: clampbook walk PROCEDURE")
    return open_ones[0] if len(open_ones) == 1 else None


def of_joints(procedure: Procedure, names: str | None) -> tuple[str, ...]:
    """The joints that were named, of those that one run does; none where nothing was named. Raises UsageError."""
    import click

    from clampbook.run.answers import Refused
    from clampbook.run.gather.asking import which_joints
    from clampbook.run.gather.draft import JOINTS, Draft, take

    if names is None:
        return ()
    if procedure.joints is None:
        raise click.UsageError("--only names some of several joints, and this procedure has none. Leave it out.")
    found = take(Draft("begin"), which_joints(procedure.joints), names, _nobody)
    if isinstance(found, Refused):
        raise click.UsageError(found.sentence.partition(", or * ")[0].removesuffix(".") + ".")
    return found.positions(JOINTS)


def _nobody(name: str) -> Person:
    raise AssertionError(name)  # no joint is a person


def given(book: Book, name: str | None, lines: Lines, *, new: bool) -> Person | None:
    """Find the person that a name means, where one was said. Raises as `person_meant` does."""
    from clampbook.commands.naming import person_meant

    return person_meant(book, name, lines, new=new) if name is not None else None


def all_given(book: Book, names: tuple[str, ...], lines: Lines, *, new: bool) -> tuple[Person, ...]:
    """Find all who are meant, each once. Raises as `person_meant` does."""
    from clampbook.commands.naming import person_meant

    return tuple(dict.fromkeys(person_meant(book, name, lines, new=new) for name in names))


def work_asked(book: Book, asked: Asked) -> tuple[Work, Asked]:
    """The procedure of a walk, and what was asked with the run and the title of a follow-up, where one is meant.

    Of a run with one follow-up nobody need say which; of a follow-up for which one run waits, nobody need say of which
    run. Raises UsageError, LedgerFault, Faulty.
    """
    from clampbook.book.starting.followed_up import work_followed
    from clampbook.book.starting.terms import work_named

    if asked.of is not None:
        run = book.run(asked.of)
        work = work_followed(book, run, asked.procedure)
        return work, replace(asked, of=run.id, follow_up=asked.follow_up or _only_title(work))
    work = work_named(book, asked.procedure or "")
    if asked.follow_up is None:
        return work, asked
    return work, replace(asked, of=_only_run(book, work, asked))


def _only_title(work: Work) -> str:
    titles = [each.title for each in work.procedure.follow_ups]
    if len(titles) == 1:
        return titles[0]
    from clampbook.text import quoted

    known = f"It has {', '.join(map(quoted, titles))}." if titles else "It has none."
    raise click.UsageError(f"Which follow-up? Add --follow-up TITLE. {known}")


def _only_run(book: Book, work: Work, asked: Asked) -> str:
    """The run that waits for this follow-up, on the equipment and of the joint that were named."""
    from clampbook.archive.follow_ups import waiting
    from clampbook.book.due.crossed import crossed_off
    from clampbook.commands.finding import archive_of
    from clampbook.text import printable, quoted

    gone = crossed_off(book)
    with archive_of(book) as archive:
        found = [
            each
            for each in archive.asked(waiting)
            if (each.run[9:-9], each.title) == (work.slug, asked.follow_up)
            and each.named not in gone
            and _same(asked.equipment, each.equipment)
            and _same(asked.joint, each.joint)
        ]
    if len(found) == 1:
        return found[0].run
    runs = ", ".join(each.run for each in found)
    told = (
        f"These runs wait for it: {runs}." if runs else f"No run waits for {quoted(printable(asked.follow_up or ''))}."
    )
    raise click.UsageError(f"After which run? Add --of RUN. {told}")


def _same(named: str | None, known: str) -> bool:
    return named is None or not known or named.casefold() == known.casefold()
