"""No tool of the book can do the first pull of a run: told before the run is opened, with a way to add one."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from textual.content import Content

from clampbook.faults import Faulty, briefly
from clampbook.ledger.refusals import LedgerFault
from clampbook.screens.choosing import choices_shown, wrapped
from clampbook.screens.questions import Line, Question, Questions
from clampbook.text import as_sentence, printable

if TYPE_CHECKING:
    from clampbook.book.book import Book

_WAYS = ("add a tool first", "start: a tool is added before the pull", "do not start")


class WithoutATool(Questions):
    """`lacking` looks again and gives what is told; once it gives nothing the run starts."""

    then = (
        "Nothing is saved yet, and no run is open.",
        "The walk waits at its first pull until tools.toml has a tool for it, and takes it from there.",
        "Esc leaves, and nothing has started.",
    )

    def __init__(
        self,
        book: Book,
        title: str,
        lacking: Callable[[], tuple[str, ...]],
        start: Callable[[], None],
        leave: Callable[[], None],
    ) -> None:
        self._book = book
        self._title = title
        self._lacking = lacking
        self._start = start
        self._leave = leave
        self.told = lacking()
        super().__init__(self._question())

    def _question(self) -> Question:
        lines = tuple(Line(str(number), way) for number, way in enumerate(_WAYS, 1))
        return Question("without a tool", f"{self.told[0]} Start without one?", "choice", lines)

    def heading(self) -> str:
        """Name what would be started."""
        from clampbook.screens.heading import BETWEEN, fitting

        return fitting(tuple(self._title.split(BETWEEN)), self.size.width - 2)

    def listed(self) -> Content:
        """The choices, and below them each tool with what rules it out."""
        rows = [row for told in self.told[1:] for row in wrapped(printable(told), self.columns)]
        return Content("\n").join(
            (choices_shown(self.part.choices, self.field, self.columns), Content(), *map(Content, rows))
        )

    def take(self, line: str) -> None:
        """Go the way of this number."""
        match self.picked(line):
            case 0:
                self._add()
            case 1:
                self._start()
            case 2:
                self._leave()
            case _:
                pass

    def _add(self) -> None:
        from clampbook.book.toolbox import tools_file
        from clampbook.screens.tools.form import EntryForm

        try:
            form = EntryForm(self._book, "tool", None, tools_file(self._book), self._added)
        except LedgerFault as fault:
            self.tell(as_sentence(fault.sentence))
        except Faulty as faulty:
            self.tell(briefly(faulty))
        else:
            self.app.push_screen(form)

    def _added(self, told: str) -> None:
        """A tool was added: the run starts where it can do the first pull."""
        lacking = self._lacking()
        if not lacking:
            self._start()
            return
        self.told, self.notice = lacking, told
        self.ask(self._question())

    def back(self) -> None:
        """Nothing starts."""
        self._leave()
