"""A screen of work in hand: shows the question at hand and hands on what is typed, until the work is left."""

from __future__ import annotations

import os
from abc import abstractmethod
from collections.abc import Callable
from pathlib import Path
from typing import Any

from textual import events
from textual.app import ComposeResult
from textual.geometry import Size

from clampbook.faults import Faulty
from clampbook.ledger.refusals import LedgerFault
from clampbook.run.gather.draft import Part
from clampbook.screens.hinting import keys_of
from clampbook.screens.in_hand import Gathers, InHand
from clampbook.screens.keyboard import Hands
from clampbook.screens.question_board import QuestionBoard

Leave = Callable[[], None]
_LEFT_BY_ESC = (
    "Esc goes back one question, from the first to the step. Nothing is saved before the last question of an answer.",
)
_SCROLLS = {"up": -1, "down": 1, "pageup": -8, "pagedown": 8}


class AtWork(Hands):
    """One run or check; `leave` is called once nothing more is asked."""

    taken: InHand
    gathering: Gathers
    board: QuestionBoard

    def __init__(self, taken: InHand, board: QuestionBoard, leave: Leave) -> None:
        super().__init__()
        self.taken = taken
        self.board = board
        self.gathering = taken.gathering
        self._leave = leave
        self._seq = 0
        self._painted_in = Size(0, 0)
        self._papers: tuple[str, ...] = ()

    # What each kind of work shows and says.

    @abstractmethod
    def _paint(self) -> None:
        """Show the question at hand."""

    @abstractmethod
    def _show_what_was_wished(self) -> None:
        """Show what a line asked to see, on a page of its own."""

    @abstractmethod
    def _stored(self, before: object) -> None:
        """A line was stored; `before` is what was said before it. Goes on with the next question."""

    @abstractmethod
    def _over(self, record: Path | None) -> None:
        """Nothing more is asked; the record is there, where there is to be one."""

    # The questions.

    def compose(self) -> ComposeResult:
        """The board, on which every question is shown."""
        yield self.board

    def on_mount(self) -> None:
        """The first question."""
        self.next_question()

    def on_resize(self, _: events.Resize) -> None:
        """The same question in another size."""
        if self._seq and self.app.size != self._painted_in:
            self._painted_in = self.app.size
            self._paint()

    def next_question(self) -> None:
        """Show what is asked now, or that all is over."""
        self._seq = self.gathering.session.progress.seq
        if self.gathering.over:
            self._ended()
        if not self.is_attached:
            return
        self.field, self._painted_in = "", self.app.size
        self._paint()
        self.ask_anew()

    def _ended(self) -> None:
        """It is over, or over for today: it is left at once, so that its record stands when that is told."""
        from clampbook.work.frozen import RecordFault

        try:
            record = self.taken.leave()
        except (LedgerFault, RecordFault) as fault:
            self.app.fail(fault)  # type: ignore[attr-defined]
            return
        if self.taken.outcome == "paused":
            self._leave()
        else:
            self._over(record)

    def _in_the_book(self, sentence: str) -> str:
        """A sentence with its path as it is within the book, which is short enough to be read."""
        return sentence.replace(f"{self.taken.book.root}{os.sep}", "")

    def _just_stored(self, before: object) -> Any:
        """Give what the last line stored; None where what is said is still what was said before it."""
        notice = self.gathering.notice
        return notice.event if notice is not None and notice is not before else None

    def _bell(self, wanted: bool) -> None:
        if wanted and self.app.bell_on:  # type: ignore[attr-defined]
            self.app.bell()

    # What the keyboard asks of a screen.

    def take(self, line: str) -> None:
        """A line answers the question at hand; an empty one after all is over leaves."""
        if self.gathering.over:
            self._leave()
            return
        self._doing(lambda: self.gathering.line(line, self.lost))

    def back(self) -> None:
        """Leave the answer that is being given; nothing changed."""
        self.gathering.back()
        self._paint()

    def show_field(self) -> None:
        """Show what stands in the field."""
        self.board.show_field(self.field)

    def tell(self, sentence: str) -> None:
        """Say something that is no answer."""
        self.gathering.tell(sentence)
        self._paint()

    def explain_part(self, part: Part) -> None:
        """Explain what is asked in the middle of an answer, and how it is left."""
        from clampbook.screens.help_page import HelpPage
        from clampbook.screens.question_help import help_at

        self.app.push_screen(HelpPage("Help", help_at(part, self.want(), keys_of(part), _LEFT_BY_ESC)))

    def other_key(self, key: str) -> None:
        """Up and down walk through the choices, where there are some; else what is long scrolls."""
        keys = self.board.choice_keys
        if keys and key in ("up", "down") and (not self.field or self.field in keys):
            step = 1 if key == "down" else -1
            at = keys.index(self.field) if self.field in keys else (-1 if step == 1 else 0)
            self.field, self.fresh = keys[(at + step) % len(keys)], True
            self.show_field()
        elif key in _SCROLLS:
            self.board.scroll_list(_SCROLLS[key])

    def do(self, line: str) -> None:
        """An action chosen elsewhere, as the line that begins it."""
        self.gathering.leave()
        self._doing(lambda: self.gathering.line(line))

    def _doing(self, act: Callable[[], object]) -> None:
        part, before = self.gathering.part, self.gathering.notice
        try:
            act()
        except (LedgerFault, Faulty) as fault:
            self.app.fail(fault)  # type: ignore[attr-defined]
            return
        self._show_what_was_wished()
        if self.gathering.session.progress.seq != self._seq:
            self._stored(before)
        elif self.gathering.part is not part and self.want().deliberate:
            self._paint()
            self.ask_anew()
        else:
            self.field = ""
            self._paint()
