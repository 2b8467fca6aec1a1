"""The end of a run or a check: whoever signs is asked, then it is sealed; and what came of it, in sentences."""

from __future__ import annotations

from pathlib import Path
from typing import Protocol

from clampbook.ledger.refusals import LedgerFault
from clampbook.record.sealed.dues import Due, SealDue
from clampbook.signing.wire import KeyFault
from clampbook.text import as_sentence
from clampbook.work.frozen import RecordFault


class Seals(Protocol):
    """The view that a face needs of a run, or a check, that is being signed and sealed."""

    what: str

    @property
    def wanted(self) -> Due | SealDue | None: ...

    @property
    def asked(self) -> str: ...

    @property
    def beside(self) -> tuple[str, ...]: ...

    @property
    def report(self) -> Path: ...

    @property
    def log_end(self) -> str: ...

    @property
    def disagreement(self) -> str | None: ...

    def text(self) -> str: ...

    def give(self, passphrase: str) -> Due | SealDue: ...

    def later(self) -> None: ...

    def seal(self) -> str: ...


def signed(due: Due | SealDue) -> str:
    """Tell that a signature was given."""
    return f"Signed by {due.person.name}, {due.meaning}."


def not_signed(due: Due | SealDue) -> str:
    """Tell that one was left for later."""
    return f"Not signed by {due.person.name}. It stays unsealed until they sign."


def closed_only(why: str) -> str:
    """Tell that what is closed could not be sealed."""
    return f"Closed, not sealed: {why}"


def finish(signing: Seals) -> tuple[str, ...]:
    """Seal the run or the check and say in sentences that it is, or why it is not yet; never in the way of its end."""
    try:
        signing.seal()
        note = f"Write this down outside the book, the end of its log: {signing.log_end}"
    except (RecordFault, LedgerFault, KeyFault) as fault:
        why = fault.sentence.removesuffix(".")
    except Exception as error:  # whatever it is, the run is over and recorded, and nobody at the bench can correct it
        why = f"unexpected error ({type(error).__name__}: {error})"
    else:
        differs = signing.disagreement
        told = () if differs is None else (as_sentence(differs),)
        return (*told, f"Report: {signing.report}.", f"The {signing.what} is sealed.", note)
    return as_sentence(why), "The record is saved all the same."
