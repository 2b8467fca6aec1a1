"""The addenda to a run after its seal: each a folder of its own that names the run, signed and sealed like any other.

Nothing in the sealed folder changes; a notice beside it tells of the addendum wherever the record is looked at.
"""

from __future__ import annotations

from datetime import datetime
from typing import Any, Literal

from msgspec.structs import replace

from clampbook import __version__
from clampbook.book.book import Book
from clampbook.book.keys import announced
from clampbook.book.notices import NOTICES
from clampbook.book.runs import Opening, new_run
from clampbook.ledger import atomic
from clampbook.ledger.formats import BEFORE, FORMAT
from clampbook.ledger.private import make_folder
from clampbook.ledger.refusals import LedgerFault, refusal
from clampbook.ledger.stamp import Clock, stamp_of
from clampbook.people import Person
from clampbook.procedure.model import SignOff
from clampbook.record.written import write
from clampbook.run import events as e
from clampbook.run import plan as plans
from clampbook.run.kinds.stamping import Common
from clampbook.run.plan import Plan
from clampbook.run.walk import read_progress
from clampbook.run_folder import ADDENDUM, PLAN, SEAL, RunFolder
from clampbook.text import clean
from clampbook.work.daybook import frozen_plan

_ROLE = "author"
_MOST = 2000  # characters, as of a note


def add(
    book: Book, run: RunFolder, person: Person, text: str, clock: Clock, source: Literal["system", "handed in"]
) -> RunFolder:
    """Write an addendum to a sealed run; it is closed, and still to be signed where its author has a key.

    Raises LedgerFault where the run is not sealed, TextFault where the text cannot be kept.
    """
    told = _may_be_added(run, text)
    done = frozen_plan(run.path / PLAN, run.plan(), None, plans.decode, "run")
    worked_on = read_progress(run.daybook, done, run.lines()[0]).worked_on
    plan = _nothing_to_do(done)
    now = clock.now()

    def opened(opening: Opening) -> dict[str, Any]:
        return e.fields(
            e.Opened(
                **_common(now, person),
                daybook=FORMAT,
                run=opening.run,
                book=opening.book,
                log_head=opening.log_head,
                procedure_sha256=opening.procedure_sha256,
                plan_sha256=opening.plan_sha256,
                person=person,
                version=__version__,
                clock=source,
                equipment=worked_on,
                of_run=e.Earlier(run=run.id, follow_up=ADDENDUM, positions={}),
            )
        )

    made = new_run(book, ADDENDUM, now.date(), run.procedure(), plans.encode(plan), opened)
    _write(book, made, person, told, clock)
    _beside(book, run, made, person, told)
    return made


def _may_be_added(run: RunFolder, text: str) -> str:
    """The text as it is kept. Raises LedgerFault where this run takes no addendum, or nothing is said in it."""
    if not (run.path / SEAL).exists():
        raise LedgerFault(f"the run {run.id} is not sealed. {_instead(run)}")
    if run.addendum_to is not None:
        raise LedgerFault(f"{run.id} is an addendum itself. Add yours to its run, {run.addendum_to}")
    told = clean(text, what="the addendum", most=_MOST)
    if not told:
        raise LedgerFault("the addendum is empty. Type what it adds")
    if run.made_before:
        raise LedgerFault(f"{run.id} was {BEFORE}. Use the version that wrote it")
    return told


def _instead(run: RunFolder) -> str:
    """Name the way to add something to a run that has no seal."""
    match run.state:
        case "open":
            return f"Write a note in it: clampbook walk --resume {run.id}"
        case "closed":
            return f"Seal it first: clampbook seal {run.id}"
        case "damaged":
            return f"Close it first: clampbook close-damaged {run.id}"
        case "abandoned":
            return "An abandoned run has no seal, so nothing can be added"


def _write(book: Book, made: RunFolder, person: Person, text: str, clock: Clock) -> None:
    """Write its lines and its record: the text, its author's name to be signed, its end."""
    key = announced(book).get(person.id)
    with book.writing(made, person.name) as ledger:
        for event in (
            e.Noted(**_common(clock.now(), person), text=text),
            e.SignedOff(**_common(clock.now(), person), role=_ROLE, meaning=ADDENDUM, person=person, key=key),
            e.Closed(**_common(clock.now(), person), outcome="done"),
        ):
            ledger.append(e.fields(event))
    write(made.path)


def _beside(book: Book, run: RunFolder, made: RunFolder, person: Person, text: str) -> None:
    """A notice beside the sealed run, so that its addendum is told wherever the record is opened or printed."""
    import tomli_w

    path = book.path(NOTICES, run.id, f"{made.id}.toml")
    try:
        make_folder(path.parent)
    except OSError as error:
        raise refusal(path.parent, error, "be made") from error
    notice = {"notice": 1, "run": run.id, "addendum": made.id, "person": person.name, "text": text}
    atomic.write(path, tomli_w.dumps(notice).encode())


def _nothing_to_do(plan: Plan) -> Plan:
    """A plan of the same work in which nothing is left to be done but to sign."""
    return replace(
        plan,
        follow_up=ADDENDUM,
        trial=False,
        cautions=(),
        asks=(),
        parts=(),
        groups=(),
        stages=(),
        steps=(),
        sign_off=(SignOff(role=_ROLE, required=True),),
        due_later=(),
        clamping=(),
    )


def _common(now: datetime, person: Person) -> Common:
    stamp = stamp_of(now, person.id)
    return Common(at=stamp.text, offset=stamp.offset, by=stamp.by, done_by=None, late=None, noted=())
