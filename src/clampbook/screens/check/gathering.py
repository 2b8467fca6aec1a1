"""One check on a screen: lines in, what came of them out. Holds what the screen shows, and no rule of the trade."""

from __future__ import annotations

from collections.abc import Callable, Generator

from clampbook.check import answers as a
from clampbook.check.answers import Accepted, Refused, Unsure
from clampbook.check.checking import Checking
from clampbook.check.deciding import Session
from clampbook.check.events import Event
from clampbook.check.prompts import Ended, Prompt
from clampbook.check.wording import stored
from clampbook.ledger.refusals import NOT_SAVED, LedgerFull
from clampbook.people import Person
from clampbook.run.gather.draft import Draft, Part, take
from clampbook.screens.check.answering import Begun, Gathered, Wish, begun
from clampbook.screens.notice import Notice, none_if_over


class CheckGathering:
    """The check with the answer that is being gathered; `after` says what a stored answer brought about besides.

    `part` is the question of an answer of several parts, None at the prompt itself; `wish` is what a person wants to
    see, to be taken off by the screen once it is shown.
    """

    def __init__(self, checking: Checking, after: Callable[[], str]) -> None:
        self.checking = checking
        self.part: Part | None = None
        self.notice: Notice[Event] | None = None
        self.wish: Wish | None = None
        self._after = after
        self._steps: Gathered | None = None
        self._typed: list[str] = []  # what this answer was begun with, and what its questions were answered with

    @property
    def prompt(self) -> Prompt:
        """The question that is asked now."""
        return self.checking.prompt

    @property
    def session(self) -> Session:
        """The moment of the check."""
        return self.checking.session

    @property
    def over(self) -> bool:
        """True once nothing more is asked."""
        return isinstance(self.prompt, Ended)

    def line(self, text: str, lost: str = "") -> None:
        """A line at the question at hand; `lost` was typed and means nothing here.

        Raises LedgerFault where it could not be stored and cannot be.
        """
        if self._steps is None or self.part is None:
            self._typed = [text]
            self._begin(begun(self.prompt, self.session.unusual, text, lost))
            return
        given = take(Draft("check"), self.part, text or lost, _nobody)
        if isinstance(given, Draft):
            self._typed.append(given.text(self.part.name))
            self._go_on(self._typed[-1])
        else:
            self.notice = Notice("refused", given.sentence)

    def back(self) -> None:
        """Go back one question in the answer that is being gathered; at its first one leave it."""
        begun_with, *answered = self._typed or [""]
        self.leave()
        if answered:
            self._typed = [begun_with, *answered[:-1]]
            self._begin(begun(self.prompt, self.session.unusual, begun_with, ""))
            for given in self._typed[1:]:
                self._go_on(given)

    def leave(self) -> None:
        """Leave the whole answer that is being gathered."""
        self._steps, self.part, self._typed = None, None, []
        self.notice = none_if_over(self.notice)

    def tell(self, sentence: str) -> None:
        """Say something that is no answer."""
        self.notice = Notice("told", sentence)

    def _begin(self, what: Begun) -> None:
        match what:
            case Generator():
                self._steps = what
                self._asks(next(what))
            case Refused():
                self.notice = Notice("refused", what.sentence)
            case "help" | "figures":
                self.wish = what
            case _:
                self._answer(what)

    def _go_on(self, given: str) -> None:
        assert self._steps is not None
        try:
            asked = self._steps.send(given)
        except StopIteration as end:
            self.leave()
            self._begin(end.value)
            return
        self._asks(asked)

    def _asks(self, part: Part) -> None:
        """Another question is shown, to which what was said against the answer before does not belong."""
        self.part = part
        if self.notice is not None and self.notice.refused:
            self.notice = None

    def _answer(self, answer: a.Answer) -> None:
        try:
            outcome = self.checking.answer(answer)
        except LedgerFull:
            self.notice = Notice("refused", NOT_SAVED)
            return
        match outcome:
            case Accepted(event=event):
                told = (stored(event, self.checking.plan, self.checking.progress), self._after())
                self.notice = Notice("stored", " ".join(filter(None, told)), event)
            case Unsure(unusual=unusual):
                self.notice = Notice("unusual", unusual)
            case Refused(sentence=sentence):
                self.notice = Notice("refused", sentence)


def _nobody(typed: str) -> Person:
    raise AssertionError(typed)  # no part of a check asks for a person
