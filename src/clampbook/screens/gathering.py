"""One walk on a screen: lines in, what came of them out. Holds what the screen shows, and no rule of the trade."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from clampbook.ledger.refusals import NOT_SAVED, LedgerFull
from clampbook.run import asked
from clampbook.run.answers import Accepted, Answer, Pause, Refused, Unsure
from clampbook.run.events import Event
from clampbook.run.gather.draft import Draft, Named, Part, asked_again, take
from clampbook.run.prompts import Prompt
from clampbook.run.session import Session
from clampbook.run.walk import Walk
from clampbook.screens.notice import Notice, none_if_over

if TYPE_CHECKING:
    from clampbook.run.gather.parts import Shows


class Gathering:
    """The walk with the answer that is being gathered. After each call the screen shows what it holds then.

    `part` is the question of an answer of several parts, None at the prompt itself; `shown` is what a person wanted
    to see, to be taken off by the screen once it is shown.
    """

    def __init__(self, walk: Walk, named: Named, also: Callable[[Event], Sequence[str]] = lambda _: ()) -> None:
        self.walk = walk
        self.part: Part | None = None
        self.notice: Notice[Event] | None = None
        self.shown: Shows | None = None
        self._draft: Draft | None = None
        self._before: list[tuple[Draft, Part]] = []  # the questions of this answer that have been answered
        self._named = named
        self._also = also  # what is to be said beside a line that was stored

    @property
    def prompt(self) -> Prompt:
        """The question that is asked now."""
        return self.walk.prompt

    @property
    def session(self) -> Session:
        """The moment of the walk."""
        return self.walk.session

    @property
    def over(self) -> bool:
        """True once nothing more is asked."""
        return asked.over(self.walk.prompt)

    @property
    def menu(self) -> bool:
        """True where the question at hand is what else has happened."""
        return self._draft is not None and self._draft.act == "menu"

    def line(self, text: str, lost: str = "") -> None:
        """A line at the question at hand; `lost` was typed and means nothing here.

        Raises LedgerFault where it could not be stored and cannot be.
        """
        from clampbook.run.gather.parts import begin, follow

        if self._draft is None or self.part is None:
            self._before.clear()
            self._go_on(begin(self.prompt, text, lost))
            return
        draft, part = self._draft, self.part
        if lost and not text:
            after: Draft | Refused | None = take(draft, part, lost, self._named)
        else:
            after = follow(self.prompt, draft, part, text, self._named)
        if isinstance(after, Refused):
            self.notice = Notice("refused", after.sentence)
            return
        self._go_on(after)
        refused = self.notice is not None and self.notice.kind == "refused"
        if refused and self._draft is None and asked_again(part):
            self._draft, self.part = draft, part
        elif self._draft is None:
            self._before.clear()
        else:
            self._before.append((draft, part))

    def arrived(self, text: str) -> None:
        """A whole line came from a tool where no number is asked for: which position does it belong to?"""
        self._before.clear()
        self._go_on(Draft("arrived", (("text", text),)))

    def back(self) -> bool:
        """Go back one question in the answer that is being gathered; at its first one leave it. False where none was.

        An unusual value stays: the same answer given again still settles it.
        """
        if not self._before:
            return self.leave()
        self._draft, self.part = self._before.pop()
        self.notice = none_if_over(self.notice)
        return True

    def leave(self) -> bool:
        """Leave the whole answer that is being gathered, and what was said of it; False where none was."""
        self._before.clear()
        was, self._draft, self.part = self._draft is not None, None, None
        self.notice = none_if_over(self.notice)
        return was

    def pause(self) -> None:
        """Stop for now, whatever was being typed; does nothing where the run is over or stopped already."""
        self.leave()
        if not self.over:
            self._answer(Pause())

    def tell(self, sentence: str) -> None:
        """Say something that is no answer."""
        self.notice = Notice("told", sentence)

    def answer(self, answer: Answer) -> bool:
        """Hand on an answer that came of no line; True where it was stored."""
        self.leave()
        return self._answer(answer)

    def beside(self, answer: Answer) -> None:
        """Hand on an answer that changes nothing of what is asked, such as turning the map; what is being gathered,
        and what was said before it, stays."""
        said = self.notice
        if self._answer(answer):
            self.notice = said

    def _go_on(self, draft: Draft | Refused | None) -> None:
        from clampbook.run.gather.parts import follow, next_part, shows

        self._draft, self.part = None, None
        while draft is not None:
            if isinstance(draft, Refused):
                self.notice = Notice("refused", draft.sentence)
                return
            self.shown = shows(draft)
            if self.shown is not None:
                return
            found = next_part(self.prompt, self.session, draft)
            match found:
                case Refused():
                    draft = found
                case Part() if draft.ahead is not None:
                    draft = follow(self.prompt, draft, found, draft.ahead, self._named)
                case Part():
                    self._draft, self.part = draft, found
                    self._forget_what_was_refused()
                    return
                case answers:
                    self._all(answers)
                    return

    def _forget_what_was_refused(self) -> None:
        """Another question is shown, to which what was said against the answer before does not belong."""
        if self.notice is not None and self.notice.refused:
            self.notice = None

    def _all(self, answers: tuple[Answer, ...]) -> None:
        for answer in answers:
            if not self._answer(answer):
                return

    def _answer(self, answer: Answer) -> bool:
        """Hand an answer to the walk and keep what came of it; True where it was stored."""
        before = self.prompt
        try:
            outcome = self.walk.answer(answer)
        except LedgerFull:
            self.notice = Notice("refused", NOT_SAVED)
            return False
        match outcome:
            case Accepted(event=event):
                from clampbook.run.lines import stored
                from clampbook.run.told.stages import begins

                session = self.walk.session
                begun = begins(before, session, self.prompt)
                told = (stored(event, session.plan, session.tools), *self._also(event), *((begun,) if begun else ()))
                self.notice = Notice("stored", " ".join(told), event)
                return True
            case Unsure(unusual=unusual):
                self.notice = Notice("unusual", unusual)
            case Refused(sentence=sentence):
                self.notice = Notice("refused", sentence)
        return False
