"""Plain mode in words: line by line, the message first, nothing redrawn; fit for a screen reader and for 40 columns."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TextIO

from clampbook.paragraphs import laid
from clampbook.run import asked
from clampbook.run.events import Event
from clampbook.run.gather.draft import Part
from clampbook.run.gather.keys import can_be_typed, listed
from clampbook.run.gather.parts import choices_at
from clampbook.run.in_hand.in_question import told
from clampbook.run.kinds.values import open_again
from clampbook.run.lines import stored
from clampbook.run.prompts import Choice, Prompt
from clampbook.run.session import Session
from clampbook.text import printable

NARROWEST = 20
_SHORT_LABEL = 6  # characters; choices that are no longer than this stand in one line


class Words:
    """Sentences on standard output, wrapped to `width` columns; `marker` shows on a terminal that a line is awaited."""

    def __init__(self, out: TextIO, *, width: int, marker: bool) -> None:
        self._out = out
        self._width = max(width, NARROWEST)
        self._marker = marker
        self._asked: Prompt | None = None
        self._stored = ""  # what was said last of a line that was stored

    def ask(self, prompt: Prompt, session: Session) -> None:
        """The sentence, then short lines, then the keys; asked once more, the short lines are left out.

        After an unusual value only number and unit are asked for: nothing stands there that the person could copy.
        """
        self._out.write("\n")
        if session.unusual is not None:
            self._say(open_again(prompt))
        else:
            self._question(prompt, session)
        self._await()

    def _question(self, prompt: Prompt, session: Session) -> None:
        words, keys = asked.words(prompt), asked.keys(prompt)
        self._say(words.sentence)
        if prompt != self._asked:
            for line in (*asked.under(words, asked.where_of(prompt)), *told(session)):
                self._say(line, indent="  ")
        self._asked = prompt
        self._list(choices_at(prompt, session) if keys.people else listed(keys))
        self._say(can_be_typed(keys))

    def ask_part(self, part: Part, prompt: Prompt | None) -> None:
        """The question and its choices."""
        del prompt
        self._say(part.text)
        self._list(part.choices)
        self._await()

    def stored(self, event: Event, session: Session) -> None:
        """The outcome as a word with its mark, then where and what."""
        self._stored = stored(event, session.plan, session.tools)
        self._say(self._stored)

    def refused(self, sentence: str) -> None:
        """Tell why an answer was not taken."""
        self._say(sentence)

    def unusual(self, sentence: str) -> None:
        """The sentence, without any value that would fit."""
        self._say(sentence)

    def tell(self, lines: Sequence[str]) -> None:
        """Lines that ask nothing."""
        for line in lines:
            self._say(line)

    def finished(self, outcome: str, run: str, sentence: str, late: str | None = None) -> None:
        """The last words; what was just said of the last line is not said again."""
        del outcome, late
        self._out.write("\n")
        if told := sentence.removeprefix(self._stored).strip():
            self._say(told)
        self._say(f"Run {run}.")
        self._out.flush()

    def _list(self, choices: tuple[Choice, ...]) -> None:
        """Choices one a line; labels that are their own key in one line."""
        bare = [choice.key for choice in choices if choice.key == choice.text and len(choice.key) <= _SHORT_LABEL]
        if bare:
            self._say(f"type one of: {', '.join(bare)}", indent="  ")
        for choice in choices:
            if choice.key not in bare:
                cost = f" · {choice.costs}" if choice.costs else ""
                self._say(f"{choice.key} {choice.text}{cost}", indent="  ")

    def _say(self, text: str, indent: str = "") -> None:
        lines = laid(printable(text), self._width, indent, indent + "  " if indent else "")
        self._out.write("\n".join(lines) + "\n")

    def _await(self) -> None:
        if self._marker:
            self._out.write("> ")
        self._out.flush()
