"""The walk line by line: show what is asked, read a line, gather an answer, hand it on, say what came of it."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from clampbook.ledger.refusals import NOT_SAVED, LedgerFull
from clampbook.ledger.stamp import Clock
from clampbook.plain.clock import HandedIn
from clampbook.plain.face import Face
from clampbook.plain.helping import help_at
from clampbook.plain.lines import Interrupted, Lines
from clampbook.run import asked
from clampbook.run.answers import Accepted, Answer, Pause, Refused, Unsure
from clampbook.run.events import Decided, Event, Inspected
from clampbook.run.gather.draft import Draft, Named, Part, asked_again
from clampbook.run.gather.parts import begin, follow, next_part, shows
from clampbook.run.lines import stored
from clampbook.run.prompts import Prompt
from clampbook.run.told.last_three import last_three
from clampbook.run.told.stages import begins
from clampbook.run.walk import Walk


class EndOfInput(Exception):  # noqa: N818 - the ordinary end of a script
    """There are no more lines."""


class Loop:
    """One walk with one face. `named` finds the person of a typed name; `sign` is called once a line announces a
    signature that is given at once, `also` for what is to be said beside a line that was stored, `before` for what is
    to be said before a question."""

    def __init__(
        self,
        walk: Walk,
        face: Face,
        lines: Lines,
        clock: Clock,
        named: Named,
        sign: Callable[[], None] = lambda: None,
        also: Callable[[Event], Sequence[str]] = lambda _: (),
        before: Callable[[Prompt], Sequence[str]] = lambda _: (),
    ) -> None:
        self._walk = walk
        self._face = face
        self._lines = lines
        self._clock = clock
        self._named = named
        self._sign = sign
        self._also = also
        self._before = before
        self._new = True  # whether something was stored since the question was last shown

    def run(self) -> str:
        """Walk until the run is over, or over for today; gives how it ended: an outcome, "paused" or "held".

        Raises Interrupted after a safe pause, LedgerFault where nothing more can be stored.
        """
        try:
            while not asked.over(self._walk.prompt):
                self._one()
        except EndOfInput:
            self._answer(Pause("end of input"))
        except Interrupted as stop:
            self._walk.answer(Pause(stop.cause))
            raise
        except BrokenPipeError:
            self._walk.answer(Pause("end of input"))
            raise
        return asked.outcome(self._walk.prompt) or "paused"

    def _one(self) -> None:
        """One question, up to its answer or to the sentence why there is none."""
        if self._new:  # asked once more after a refusal, the time of a slow pull still counts from the first asking
            for heard in self._walk.hear():
                self._face.tell([stored(heard, self._walk.plan, self._walk.session.tools)])
            self._walk.painted()
            self._face.tell(self._before(self._walk.prompt))
        self._new = False
        self._lines.throw_away_waiting()
        self._face.ask(self._walk.prompt, self._walk.session)
        draft: Draft | Refused | None = begin(self._walk.prompt, self._read())
        while draft is not None:
            answers, before = self._gathered(draft)
            draft = None if answers and not self._refused(answers) else before

    def _read(self) -> str:
        line = self._lines.read()
        if line is None:
            raise EndOfInput
        if isinstance(self._clock, HandedIn):
            self._clock.line_read()
        return line

    def _gathered(self, draft: Draft | Refused) -> tuple[tuple[Answer, ...], Draft | None]:
        """Ask part by part until the answer is complete; nothing where it was left or refused.

        And the draft as it stood before its last part, where that part is asked again if the answer is refused.
        """
        prompt, session = self._walk.prompt, self._walk.session
        before: Draft | None = None
        while True:
            if isinstance(draft, Refused):
                self._face.refused(draft.sentence)
                return (), before
            match shows(draft):
                case "help":
                    self._face.tell(help_at(prompt))
                    return (), None
                case "last three":
                    self._face.tell(last_three(session.plan, session.progress))
                    return (), None
            found = next_part(prompt, session, draft)
            if not isinstance(found, Part | Refused):
                return found, before
            after: Draft | Refused | None = found if isinstance(found, Refused) else self._part(draft, found)
            if after is None:
                return (), None
            if isinstance(found, Part):
                before = draft if asked_again(found) and draft.ahead is None else None
            draft = after

    def _refused(self, answers: tuple[Answer, ...]) -> bool:
        """Hand on one answer after the other; whether one of them was refused, which ends it."""
        for answer in answers:
            outcome = self._answer(answer)
            if not isinstance(outcome, Accepted):
                return isinstance(outcome, Refused)
        return False

    def _part(self, draft: Draft, part: Part) -> Draft | Refused | None:
        """The draft after one part; a line that does not fit is told, and the part asked again."""
        prompt, ahead = self._walk.prompt, draft.ahead
        while True:
            if ahead is None:
                self._lines.throw_away_waiting()
                self._face.ask_part(part, prompt)
            line = ahead if ahead is not None else self._read()
            after = follow(prompt, draft, part, line, self._named)
            if not isinstance(after, Refused) or ahead is not None:
                return after
            self._face.refused(after.sentence)

    def _answer(self, answer: Answer) -> Accepted | Unsure | Refused | None:
        """Hand an answer to the walk and say what came of it; None where there was no room to store it."""
        before = self._walk.prompt
        try:
            outcome = self._walk.answer(answer)
        except LedgerFull:
            self._face.refused(NOT_SAVED)
            return None
        match outcome:
            case Accepted(event=event):
                self._new = True
                self._face.stored(event, self._walk.session)
                begun = begins(before, self._walk.session, self._walk.prompt)
                if told := (*self._also(event), *((begun,) if begun else ())):
                    self._face.tell(told)
                if isinstance(event, Inspected | Decided) and event.key is not None:
                    self._sign()
            case Unsure(unusual=unusual):
                self._face.unusual(unusual)
            case Refused(sentence=sentence):
                self._face.refused(sentence)
        return outcome
