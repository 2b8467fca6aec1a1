"""The revision that a paper form was printed from, known by the code at the foot of each of its pages."""

from __future__ import annotations

from collections.abc import Iterator
from hashlib import sha256

from clampbook.book.approvals import REVISIONS
from clampbook.book.book import PROCEDURES, Book
from clampbook.book.starting.terms import Work
from clampbook.ledger.inside import read_file
from clampbook.ledger.refusals import LedgerFault, refusal
from clampbook.procedure.model import Procedure
from clampbook.run_folder import MOST_OF_A_PROCEDURE
from clampbook.text import grouped, quoted

_PRINTED = 16  # digits of the hash at the foot of a form
_LEAST = 4  # of them that are typed


def digits_of(work: Work) -> str:
    """The code that a form of this very file has at its foot, as it is kept."""
    return sha256(work.data).hexdigest()[:_PRINTED]


def code_of(work: Work) -> str:
    """The same as it is printed, in groups of four."""
    return grouped(digits_of(work))


def told(work: Work) -> str:
    """ "revision B, draft, 7222 c4fb 4b79 4115", as it stands at the foot."""
    return f"revision {work.procedure.revision}, {work.procedure.status}, {code_of(work)}"


def revisions(book: Book, work: Work) -> tuple[Work, ...]:
    """The procedure as it is now, then its other revisions that the book has kept, each with the draft that it was
    before its release: a form may have been printed from that. Raises LedgerFault, or Faulty."""
    from clampbook.procedure import reader

    folder = book.path(PROCEDURES, REVISIONS)
    try:
        names = sorted((path.name for path in folder.glob(f"{work.slug}-*.toml")), reverse=True)
    except OSError as error:
        raise refusal(folder, error, "be read") from error
    found = [work, *_drafts(work)]
    for name in names:
        data = read_file(book.path(PROCEDURES, REVISIONS, name), MOST_OF_A_PROCEDURE)
        kept = Work(_as_it_counts(book, reader.read(data, name)), data, work.slug)
        found += [each for each in (kept, *_drafts(kept)) if all(each.data != other.data for other in found)]
    return tuple(found)


def _drafts(work: Work) -> Iterator[Work]:
    """Give the drafts of the file: its release changed it and its code, and nothing of the work."""
    from clampbook.procedure import reader
    from clampbook.procedure.release_editing import before_release

    for data in before_release(work.data):
        yield Work(reader.read(data, work.slug), data, work.slug)


def _as_it_counts(book: Book, procedure: Procedure) -> Procedure:
    """A revision that says that it is released, held against the log."""
    if procedure.status != "released":
        return procedure
    from clampbook.book.approvals import held_to_the_log

    return held_to_the_log(book, procedure)


def with_code(known: tuple[Work, ...], typed: str) -> Work:
    """The one whose code begins so, of the revisions that are known. Raises LedgerFault where there is none."""
    code = "".join(typed.split()).casefold()
    found = [each for each in known if len(code) >= _LEAST and code_of(each).replace(" ", "").startswith(code)]
    if len(found) == 1:
        return found[0]
    raise not_here(f"No revision of this procedure has {quoted(typed)} at the foot of its form")


NOT_AT_THE_FOOT = "No revision of this book stands at the foot of the form"


def not_here(why: str = NOT_AT_THE_FOOT) -> LedgerFault:
    """The refusal where the book does not have the file of a form any more."""
    why = f"{why}. A draft that was changed since is not saved"
    return LedgerFault(f"{why}. Find the file that the form was printed from, then give its path in place of the name")
