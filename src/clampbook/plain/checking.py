"""A tool check line by line: the question, one line of answer, what was saved; for screen readers and pipes."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, TextIO, assert_never

from clampbook.check import answers as a
from clampbook.check import prompts as ask
from clampbook.check.answers import Accepted, Refused, Unsure
from clampbook.check.checking import Checking
from clampbook.check.deciding import OPEN_AGAIN
from clampbook.check.wording import (
    HOW_KNOWN,
    MENU,
    NOTHING_TYPED,
    WHAT_WAS_SHOWN,
    WHAT_WAS_WRONG,
    WHY_ABANDON,
    can_be_typed,
    details,
    sentence,
    stored,
    what_it_showed,
)
from clampbook.ledger.refusals import NOT_SAVED, LedgerFull
from clampbook.paragraphs import laid
from clampbook.plain.clock import HandedIn
from clampbook.plain.helping import ANYWHERE
from clampbook.plain.lines import Interrupted, Lines
from clampbook.run.gather.draft import looks_like_a_number
from clampbook.text import printable

NARROWEST = 20
_NUMBER_THEN_UNIT = re.compile(r"([-−+]?[\d.,]+)\s*(.*)")
_ZERO: dict[str, a.Answer] = {
    "1": a.ZeroIs("good"),
    "2": a.ZeroIs("wrong"),
    "3": a.ZeroIs("unknown"),
}
_KNOWN: dict[str, Any] = {"1": "the tool still shows it", "2": "a second person saw it", "3": "from memory"}
_MENU = (*(f"*{number} {text}" for number, text in enumerate(MENU.values(), 1)), "*0 Pause")


class _OverForNow(Exception):  # noqa: N818 - the ordinary end of a script
    """There are no more lines."""


@dataclass(frozen=True, slots=True)
class Face:
    """The face of a check line by line: wrapped to `width` columns; `marker` shows on a terminal that a line is
    awaited."""

    out: TextIO
    width: int
    marker: bool

    def say(self, text: str, indent: str = "") -> None:
        """One paragraph; nothing for an empty text."""
        if text:
            lines = laid(printable(text), max(self.width, NARROWEST), indent, indent + "  ")
            self.out.write("\n".join(lines) + "\n")

    def tell(self, lines: Sequence[str]) -> None:
        """Several paragraphs."""
        for line in lines:
            self.say(line)

    def wait(self) -> None:
        """A line is awaited."""
        self.out.write("> " if self.marker else "")
        self.out.flush()


class CheckLoop:
    """One check in plain mode. `after` is called after each stored answer, so that the book knows what was found."""

    def __init__(self, checking: Checking, face: Face, lines: Lines, clock: object, after: Callable[[], None]) -> None:
        self._checking = checking
        self._face = face
        self._lines = lines
        self._clock = clock
        self._after = after
        self._shown: ask.Prompt | None = None

    def run(self) -> str:
        """Ask until the check is over, or over for today; gives how it ended: "closed", "abandoned" or "paused".

        Raises Interrupted after a safe pause, LedgerFault where nothing more can be stored.
        """
        try:
            while not isinstance(self._checking.prompt, ask.Ended):
                self._one()
        except (_OverForNow, BrokenPipeError) as over:
            self._answer(a.Pause("end of input"))
            if isinstance(over, BrokenPipeError):
                raise
        except Interrupted as stop:
            self._checking.answer(a.Pause(stop.cause))
            raise
        ended = self._checking.prompt
        return ended.outcome if isinstance(ended, ask.Ended) else "paused"

    def _one(self) -> None:
        prompt = self._checking.prompt
        self._lines.throw_away_waiting()
        self._face.out.write("\n")
        self._face.say(sentence(prompt))
        if prompt != self._shown:
            for line in details(prompt):
                self._face.say(line, indent="  ")
        self._face.say(OPEN_AGAIN if self._checking.session.unusual else can_be_typed(prompt))
        self._shown = prompt
        answer = self._meant(prompt, self._read())
        if isinstance(answer, Refused):
            self._face.say(answer.sentence)
        elif answer is not None:
            self._answer(answer)

    def _read(self) -> str:
        self._face.wait()
        line = self._lines.read()
        if line is None:
            raise _OverForNow
        if isinstance(self._clock, HandedIn):
            self._clock.line_read()
        return line.strip() or ("+" if line.strip("\r\n") else "")

    def _meant(self, prompt: ask.Prompt, line: str) -> a.Answer | Refused | None:
        """The answer that a line is; None where only something was told."""
        if line.startswith("*"):
            return self._from_the_menu(line[1:].strip())
        if line.startswith("/"):
            return a.Note(line[1:].strip() or self._asked("Type the note."))
        match line:
            case "":
                return Refused(f"{NOTHING_TYPED} {can_be_typed(prompt)}")
            case "?":
                self._face.tell((sentence(prompt), *details(prompt), can_be_typed(prompt), *ANYWHERE, *_MENU))
                return None
            case "pause":
                return a.Pause()
            case "-" if isinstance(prompt, ask.Pull):
                shown = self._asked(f"{what_it_showed(prompt)} Type the number, or - for not read.")
                return a.BadPull() if shown in ("", "-") else _bad_pull(shown)
            case _:
                return here(prompt, line)

    def _from_the_menu(self, typed: str) -> a.Answer | Refused | None:
        match typed:
            case "":
                self._face.tell(_MENU)
                return None
            case "0":
                return a.Pause()
            case "1":
                return self._correction()
            case "2":
                return a.VoidStored(self._asked(WHAT_WAS_WRONG))
            case "3":
                return a.GiveUp(self._asked(WHY_ABANDON))
            case _:
                return Refused(f"“{printable(typed[:20])}” is not a number of the menu. Type * to see it.")

    def _correction(self) -> a.Answer | Refused:
        text = self._asked(WHAT_WAS_SHOWN)
        known = self._asked(f"{HOW_KNOWN} {', '.join(f'{key} {text}' for key, text in _KNOWN.items())}.")
        return a.Correct(text, _KNOWN[known]) if known in _KNOWN else Refused("Choose 1 to 3. Nothing was changed.")

    def _asked(self, question: str) -> str:
        self._face.say(question)
        return self._read()

    def _answer(self, answer: a.Answer) -> None:
        try:
            outcome = self._checking.answer(answer)
        except LedgerFull:
            self._face.say(NOT_SAVED)
            return
        match outcome:
            case Accepted(event=event):
                self._face.say(stored(event, self._checking.plan, self._checking.progress))
                self._after()
            case Unsure(unusual=unusual):
                self._face.say(unusual)
            case Refused(sentence=told):
                self._face.say(told)


def _bad_pull(shown: str) -> a.Answer | Refused:
    if not looks_like_a_number(shown):
        return Refused("Type - for a bad pull, or - and the number shown.")
    return a.BadPull(value=shown)


def here(prompt: ask.Prompt, line: str) -> a.Answer | Refused:
    """Answer that a line means at this prompt."""
    match prompt:
        case ask.Temperature():
            return a.NotMeasured() if line == "-" else a.Value(line)
        case ask.Zero():
            return _ZERO.get(line) or Refused(can_be_typed(prompt))
        case ask.Exercise():
            return a.Plus() if line == "+" else Refused(can_be_typed(prompt))
        case ask.Finished():
            return a.Finish() if line == "1" else Refused(can_be_typed(prompt))
        case ask.SetTool():
            found = _NUMBER_THEN_UNIT.fullmatch(line)
            if found is None:
                return Refused(can_be_typed(prompt))
            only = prompt.units[0] if len(prompt.units) == 1 else ""
            unit = found[2] or only
            return a.ScaleShows(found[1], unit) if unit else Refused(can_be_typed(prompt))
        case ask.Pull():
            if line.startswith("-"):
                return _bad_pull(line[1:].strip())
            return a.Value(line)
        case ask.Adjust():
            return a.NotAdjusted() if line == "-" else a.WasAdjusted(line)
        case ask.Ended():
            return Refused("This check is over.")
        case _ as never:
            assert_never(never)
