"""Signing on the screen: what is signed stands there to be read, and a passphrase is typed that does not show."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from clampbook.book.sealing.finishing import closed_only, not_signed, signed
from clampbook.ledger.refusals import LedgerFault
from clampbook.screens.hidden import Hidden
from clampbook.screens.questions import Question
from clampbook.signing.wire import KeyFault
from clampbook.work.frozen import RecordFault

if TYPE_CHECKING:
    from textual.app import App

    from clampbook.book.book import Book
    from clampbook.book.sealing.finishing import Seals
    from clampbook.ledger.stamp import Clock
    from clampbook.run_folder import RunFolder

_HOW = "Esc leaves this signature for later. It stays unsealed until you sign."


class SignHere(Hidden):
    """Asks for every signature that is wanted, one after the other; `done` is called once none is asked for any more.

    Only made where one is wanted.
    """

    def __init__(self, signing: Seals, done: Callable[[], None]) -> None:
        self._signing = signing
        self._done = done
        super().__init__(self._question(), "sign", "sign later")
        self.reading = signing.text()
        self.notice = " ".join(signing.beside)

    def heading(self) -> str:
        """The top line."""
        return "Sign"

    def explain(self) -> None:
        """Tell what happens where nothing is signed now."""
        self.tell(_HOW)

    def take(self, line: str) -> None:
        """A passphrase was typed."""
        if not line:
            self.back()
            return
        if not self.read_whole():
            return
        try:
            due = self._signing.give(line)
        except (KeyFault, LedgerFault) as refused:
            self.refuse(refused.sentence)
            return
        self._on(signed(due))

    def back(self) -> None:
        """This one is not signed now."""
        due = self._signing.wanted
        self._signing.later()
        self._on("" if due is None else not_signed(due))

    def _on(self, told: str) -> None:
        """The next signature, or back to where this was asked."""
        self.notice = told
        try:
            wanted = self._signing.wanted is not None
            question = self._question() if wanted else None
        except (LedgerFault, RecordFault, KeyFault) as refused:
            self.tell(refused.sentence)
            question = None
        if question is not None:
            self.reading = self._signing.text()
            self.ask(question)
        elif self.is_current:
            self.dismiss()
            self._done()

    def _question(self) -> Question:
        due = self._signing.wanted
        assert due is not None, "asked only where a signature is due"
        told = f"{due.person.name}, read this. Type your passphrase {self._signing.asked}."
        return Question("passphrase", told, "line")


def ask_to_sign(
    app: App[Any],
    book: Book,
    run: RunFolder,
    clock: Clock,
    after: Callable[[Seals | None], None],
    *,
    at_its_end: bool = False,
) -> str:
    """Ask for every signature that is wanted of a run or a check, then go on with `after`, which seals with the
    key that signed last; gives why that cannot be, if so. `at_its_end`: the run was closed just now."""
    try:
        signing = _seals(book, run, clock, at_its_end)
        if signing.wanted is None:
            after(signing)
        else:
            app.push_screen(SignHere(signing, lambda: after(signing)))
    except (LedgerFault, RecordFault, KeyFault) as refused:
        return f"Not signed: {refused.sentence}"
    return ""


def _seals(book: Book, run: RunFolder, clock: Clock, at_its_end: bool = False) -> Seals:
    """Give what signs and seals a run, or a check. Raises LedgerFault."""
    from clampbook.book.sealing.of_check import CheckSigning
    from clampbook.book.sealing.of_run import Signing
    from clampbook.check.folder import CheckFolder

    if isinstance(run, CheckFolder):
        return CheckSigning(book, run, clock)
    return Signing(book, run, clock, at_its_end=at_its_end)


def printed(book: Book, run: RunFolder, clock: Clock, signing: Seals | None = None) -> tuple[str, ...]:
    """Print and seal a run or a check that is closed, or only print one that was given up; gives what
    came of it in sentences."""
    from clampbook.book.sealing.finishing import finish
    from clampbook.record.report import print_beside

    if run.state != "closed":
        return (print_beside(run.path, book.paper()),)
    try:
        return finish(signing or _seals(book, run, clock))
    except (LedgerFault, RecordFault, KeyFault) as refused:
        return (closed_only(refused.sentence),)


def finish_sealing(app: App[Any], book: Book, run: RunFolder, clock: Clock, told: Callable[[str], None]) -> None:
    """Ask for what is still to be signed of a closed run, then print and seal it; `told` hears what came of it."""

    def then(signing: Seals | None) -> None:
        def seal() -> None:
            app.call_from_thread(told, " ".join(printed(book, run, clock, signing)))

        app.run_worker(seal, thread=True)

    refused = ask_to_sign(app, book, run, clock, then)
    if refused:
        told(refused)
