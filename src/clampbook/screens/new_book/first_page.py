"""The first page of somebody who has no book yet: make one, look at the demo, or read what all this is."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from textual.content import Content

from clampbook.book.book import Book
from clampbook.ledger.refusals import LedgerFault
from clampbook.ledger.stamp import Clock
from clampbook.screens.choosing import choices_shown
from clampbook.screens.help_page import HelpPage
from clampbook.screens.hinting import ACTIONS, HELP
from clampbook.screens.listing import CHOOSE, KEYS_OF_A_LIST, OPEN
from clampbook.screens.questions import Line, Question, Questions
from clampbook.screens.widgets.bottom_line import KeyHint
from clampbook.text import as_sentence

QUIT = "0"
_LINES = (  # each with what comes of it, where there is room
    ("Make a book here", "The folder with your tools, people, procedures and records."),
    ("Look at the demo", "The book of an invented museum. Nothing of it gets into yours."),
    ("Help", "What Clampbook does, and how you begin."),
)
_LOW = 20  # rows; below that nothing is said beside the lines


class FirstPage(Questions):
    """Three ways on, by number. `open` puts the bench of a book on top of this page, `clock` tells which day it is."""

    def __init__(
        self,
        usual: Path,
        demo: Callable[[], Book],
        open: Callable[[Book, str], None],
        leave: Callable[[], None],
        clock: Clock,
    ) -> None:
        self._usual = usual
        self._demo = demo
        self._open = open
        self._leave = leave
        self._clock = clock
        lines = (*(Line(str(number), text) for number, (text, _) in enumerate(_LINES, 1)), Line(QUIT, "quit"))
        super().__init__(Question("first", "You have no book yet. What do you want to do?", "choice", lines))

    def heading(self) -> str:
        """The name of the program."""
        return "Clampbook"

    def keys(self) -> tuple[KeyHint, ...]:
        """The keys in use."""
        return (CHOOSE, OPEN, KeyHint(QUIT, "quit"), HELP, ACTIONS)

    def listed(self) -> Content:
        """The three lines with what comes of each."""
        if self.size.height < _LOW:
            return choices_shown(self.part.choices[:-1], self.field, self.columns)
        rows = [Content()]
        for choice, (_, about) in zip(self.part.choices, _LINES, strict=False):
            rows += [
                choices_shown((choice,), self.field, self.columns),
                Content.styled(f"   {about}", "$quiet"),
                Content(),
            ]
        return Content("\n").join(rows)

    def take(self, line: str) -> None:
        """Go the way of this number."""
        if line.strip() == QUIT:
            self.field = ""
            self._leave()
            return
        match self.picked(line):
            case 0:
                self._make()
            case 1:
                self._look_at_the_demo()
            case 2:
                self.explain()
            case _:
                pass

    def back(self) -> None:
        """Say that nothing lies behind this page."""
        self.tell(f"Nothing to go back to. Type a number, or {QUIT} to quit. F2 lists all actions.")

    def explain(self) -> None:
        """F1."""
        self.app.push_screen(HelpPage("Help: the first page", HELP_LINES))

    def _make(self) -> None:
        from clampbook.screens.new_book.making import MakingBook

        self.app.push_screen(MakingBook(self._usual, self._made, self._clock.now().date()))

    def _made(self, book: Book) -> None:
        named = "" if book.root == self._usual.resolve() else f" Open it again with: clampbook --book {book.root}"
        self._open(book, f"New book: {book.root}.{named}")

    def _look_at_the_demo(self) -> None:
        try:
            self._open(self._demo(), "Demo book: its tools, people and values are invented.")
        except LedgerFault as fault:
            self.tell(as_sentence(fault.sentence))


HELP_LINES = (
    "Clampbook guides you through tightening a joint, bolt by bolt, and leaves a record that anyone can check years "
    "later.",
    "",
    "# Make a book here",
    "A book is a folder. Your tools, people, procedures, runs and records are in it.",
    "You are asked for its folder, the name of your workshop, who works there, paper, unit and two tools. Each may "
    "come later. Nothing is saved before your last answer.",
    "Then the bench opens. Add more tools there, put procedures into the folder procedures, and start one.",
    "",
    "# Look at the demo",
    "A book with tools, people and procedures of an invented museum. Walk its cylinder head, break something, try all "
    "keys. It has a folder of its own.",
    "",
    "# Without this page",
    "clampbook new makes a book, clampbook demo opens the demo, clampbook --help lists all commands.",
    "",
    "# Keys",
    *KEYS_OF_A_LIST,
    "0 quits. F1 help, F2 actions, F4 dark or bright.",
)
