"""The terms settled before a run exists: which work, who does it, on what, and what it follows."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import msgspec

from clampbook.book.book import PROCEDURES, Book
from clampbook.book.starting.frozen import plan_frozen
from clampbook.ledger.inside import inside
from clampbook.ledger.refusals import LedgerFault, shown
from clampbook.people import Person
from clampbook.procedure.model import Procedure
from clampbook.run.plan import Plan
from clampbook.run_folder import PROCEDURE, RunFolder
from clampbook.slug import slug


class Work(msgspec.Struct, frozen=True):
    """The work that is to be done: a procedure, the very bytes it was read from, and the short name of its runs."""

    procedure: Procedure
    data: bytes
    slug: str


class Terms(msgspec.Struct, frozen=True, kw_only=True):
    """The terms settled before a run exists. `of` is the run that a follow-up follows, `despite` why it is begun
    though its procedure is withdrawn, `only` the joints of several that are done; none named means all.
    `on_paper_from` is the time at which a paper form begins that is typed in late; None where the work is done now.
    `form` is the code at its foot."""

    person: Person
    done_by: Person | None = None
    also_done_by: tuple[Person, ...] = ()  # the others who stand at “Done by” on a paper form
    trial: bool = False
    joint: str | None = None
    only: tuple[str, ...] = ()
    equipment: str | None = None
    follow_up: str | None = None
    of: RunFolder | None = None
    despite: str | None = None
    on_paper_from: datetime | None = None
    form: str | None = None


def path_named(book: Book, name: str) -> Path:
    """The file of the procedure of this short name in the book, or the file of this name.

    Raises LedgerFault where there is no such procedure, or where that of the book is a link out of it.
    """
    path, own = Path(name), book.procedures()
    meant = next((each for each in own if each.stem == name), None)
    if meant is None and not path.exists():
        meant = next((each for each in own if each.name == name), None)
    if meant is not None:
        inside(book.root, PROCEDURES, meant.name)
        return meant
    if path.suffix != ".toml" and not path.exists():
        known = ", ".join(each.stem for each in own) or "none yet"
        raise LedgerFault(f"no procedure {shown(path)} in this book. Give the path of a file, or one of {known}")
    return path


def path_begun(book: Book, name: str) -> Path:
    """The same to look at a file: the only name that begins so will do."""
    begin = [each for each in book.procedures() if each.stem.startswith(name)]
    exact = any(name in (each.stem, each.name) for each in begin)
    alone = len(begin) == 1 and name and not exact and not Path(name).exists()
    return path_named(book, begin[0].stem if alone else name)


def work_named(book: Book, name: str) -> Work:
    """The procedure that a name means. Raises Faulty with all faults of its file, and as `path_named` does."""
    from clampbook.procedure import reader

    path = path_named(book, name)
    procedure, data = reader.read_file(path)
    if procedure.status == "released":
        from clampbook.book.approvals import held_to_the_log

        procedure = held_to_the_log(book, procedure)
    return Work(procedure, data, slug(path.stem, "run"))


def work_of(run: RunFolder) -> Work:
    """The procedure that a run was made by, as it was frozen then."""
    from clampbook.procedure import reader

    data = run.procedure()
    return Work(reader.read(data, str(run.path / PROCEDURE)), data, plan_frozen(run).slug)


def plan_for(work: Work, terms: Terms) -> Plan:
    """The plan of a run on these terms. Raises LedgerFault where joint or follow-up are none of the procedure's."""
    from clampbook.run.planning import plan as plan_of

    try:
        return plan_of(
            work.procedure,
            work.slug,
            trial=terms.trial,
            joint=terms.joint,
            follow_up=terms.follow_up,
            only=terms.only,
            late=terms.on_paper_from is not None,
        )
    except ValueError as error:
        raise LedgerFault(str(error)) from error
