"""The answers that the command line gives about a walk in advance, and the people and the run it means."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from clampbook.book.book import Book
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
    done_by: str | None = None
    trial: bool = False
    joint: str | None = None
    only: str | None = None  # the joints of several that are done
    equipment: str | None = None
    follow_up: str | None = None
    of: str | None = None
    reason: str | None = None  # why a withdrawn procedure is started
    new: bool = False  # names that the book does not know are those of somebody new


def named_run(book: Book, name: str) -> RunFolder | None:
    """The open run of this name, or the only one there is; None where several are open and none is named."""
    from clampbook.ledger.refusals import LedgerFault

    if name:
        run = book.run(name)
        if run.state != "open":
            raise LedgerFault(f"run {run.id} is {run.state} and cannot be resumed")
        return run
    open_ones = book.open_runs()
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
