"""Signing line by line: what is signed is shown, then the passphrase is asked, which does not show."""

from __future__ import annotations

from clampbook.book.book import Book
from clampbook.book.sealing.finishing import Seals, closed_only, finish, not_signed, signed
from clampbook.book.sealing.of_run import Signing
from clampbook.ledger.refusals import LedgerFault
from clampbook.ledger.stamp import Clock
from clampbook.plain.face import Face
from clampbook.plain.lines import Lines
from clampbook.record.report import print_beside
from clampbook.run.gather.draft import Part
from clampbook.run.prompts import Prompt
from clampbook.run_folder import RunFolder
from clampbook.signing.wire import KeyFault
from clampbook.text import as_sentence
from clampbook.work.frozen import RecordFault

PART = "passphrase"


def sign_all(signing: Seals, face: Face, lines: Lines, prompt: Prompt | None) -> None:
    """Ask for every signature that is wanted; an empty line leaves one for later, as does the end of the input."""
    if signing.wanted is not None:
        face.tell(signing.beside)
    while (due := signing.wanted) is not None:
        face.tell(signing.text().splitlines())
        lines.throw_away_waiting()
        asked = f"{due.person.name}, read this. Type your passphrase {signing.asked}. Empty: sign later."
        face.ask_part(Part(PART, asked, "line"), prompt)
        phrase = lines.read_unseen()
        if not phrase:
            signing.later()
            face.tell([not_signed(due)])
            continue
        try:
            signing.give(phrase)
        except KeyFault as refused:
            face.refused(as_sentence(refused.sentence))
        else:
            face.tell([signed(due)])


def sign_and_seal(
    book: Book, run: RunFolder, face: Face, lines: Lines, clock: Clock, prompt: Prompt
) -> tuple[str, bool]:
    """After a walk: whoever announced a signature gives it, and the run is sealed; one given up is only printed.

    Gives what came of it in sentences, and whether nothing is left to be done.
    """
    if run.state != "closed":
        return print_beside(run.path, book.paper()), True
    try:
        signing = Signing(book, run, clock, at_its_end=True)
        sign_all(signing, face, lines, prompt)
    except (LedgerFault, RecordFault, KeyFault) as refused:
        return closed_only(refused.sentence), False
    return " ".join(finish(signing)), signing.sealed and signing.disagreement is None


def sign_now(book: Book, run: RunFolder, face: Face, lines: Lines, clock: Clock, prompt: Prompt) -> None:
    """At a hold point or a concession: whoever announced a signature gives it at once, or at the end of the run."""
    try:
        sign_all(Signing(book, run, clock), face, lines, prompt)
    except (LedgerFault, RecordFault, KeyFault) as refused:
        face.refused(f"Not signed yet: {refused.sentence}")
