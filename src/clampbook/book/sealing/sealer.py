"""The person who can sign the seal of a run, and the reason why nobody can yet."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from clampbook.book.book import Book
from clampbook.book.keys import announced, known_keys
from clampbook.book.sealing.facts import is_of
from clampbook.ledger.refusals import LedgerFault
from clampbook.record.sealed.dues import Due, SealDue, closers
from clampbook.record.sealed.given_up import GivenUp
from clampbook.signing.held import second, written


def who_seals(book: Book, given: Sequence[Due], given_up: Sequence[GivenUp]) -> SealDue | None:
    """Whoever gave a signature up, else whoever signed last at the end: the first of them who has the key now.

    None where nobody has."""
    now = announced(book)
    for by in dict.fromkeys(each.by for each in given_up):
        if by.id in now:
            return SealDue(by, now[by.id])
    able = (due for due in reversed(closers(given)) if now.get(due.person.id) == due.key)
    return next((SealDue(due.person, due.key) for due in able), None)


def revoked(book: Book, due: Due) -> bool:
    """Tell whether the key that a signature was announced with is revoked, so that it can never be given. Raises
    LedgerFault."""
    return any(is_of(due, held) and held.withdrawn is not None for held in known_keys(book))


def not_before_the_key(book: Book, due: Due | SealDue, at: datetime) -> None:
    """A clock that was turned back must not sign: no verifying would let that signature stand. Raises LedgerFault."""
    made = next((held.added for held in known_keys(book) if is_of(due, held)), None)
    if made is not None and second(at) < made:
        raise LedgerFault(
            f"the clock says {written(at)}, before {due.person.name}'s key was made ({written(made)}). "
            "Correct the clock of this machine, then sign"
        )


def not_sealed(run: str, missing: Sequence[str], never: Sequence[str] = ()) -> str:
    """Tell why a closed run is not sealed, and what is done about it; `missing` are the names of those who are to
    sign, `never` those of them whose keys are revoked."""
    told = f"the run {run} is closed, not sealed."
    ways = f"To seal without: clampbook seal {run} --skip-missing --as PERSON --reason TEXT"
    if missing:
        who = " and ".join(dict.fromkeys(missing))
        gone = f". The key of {', '.join(dict.fromkeys(never))} is revoked. {ways}" if never else ""
        return f"{told} {who} still {'has' if len(set(missing)) == 1 else 'have'} to sign: clampbook seal {run}{gone}"
    return f"{told} Every key that signed it is revoked, so none can sign the seal. {ways}"
