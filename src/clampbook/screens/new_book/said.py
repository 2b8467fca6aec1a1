"""Words said of a new book, question by question, until it is made: pure, and nothing of it is written before the end.

Going back keeps what was said as `ahead`: asked again, a question begins with the answer it had.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Literal, assert_never

from msgspec import Struct
from msgspec.structs import replace

from clampbook.book.new_book import MOST_OF_A_NAME, NewBook, can_become_a_book, newcomers, tools_file
from clampbook.ledger.refusals import LedgerFault
from clampbook.screens.new_book.first_tools import ITEMS, NAME, refused
from clampbook.screens.tools.filling import Filling, begun
from clampbook.text import TextFault, as_sentence, clean
from clampbook.tools.editing import Value

UNNAMED = "My workshop"
MOST_TOOLS = 2  # more are added on the bench
Paper = Literal["a4", "letter"]


class Where(Struct, frozen=True):
    """The folder of the book."""


class Named(Struct, frozen=True):
    """The name of the workshop."""


class Works(Struct, frozen=True):
    """Somebody who works with it, or that nobody else does: the first is 0."""

    number: int


class PrintsOn(Struct, frozen=True):
    """The paper of its reports."""


class MeasuresIn(Struct, frozen=True):
    """Its torque unit."""


class ToolItem(Struct, frozen=True):
    """One item of one of its first tools: the first tool is 1."""

    tool: int
    item: str


class Sure(Struct, frozen=True):
    """All is said: is it to be made?"""


Asked = Where | Named | Works | PrintsOn | MeasuresIn | ToolItem | Sure


class Said(Struct, frozen=True):
    """All that was said so far, in the order of asking; `usual` is the folder that is offered."""

    usual: Path
    answers: tuple[tuple[Asked, str], ...] = ()
    ahead: tuple[tuple[Asked, str], ...] = ()  # answers that were gone back over, the next one last

    @property
    def asked(self) -> Asked:
        """The question at hand."""
        return _after(*self.answers[-1]) if self.answers else Where()

    @property
    def before(self) -> str:
        """The answer that the question at hand had before it was gone back to; empty where it had none."""
        return self.ahead[-1][1] if self.ahead and self.ahead[-1][0] == self.asked else ""

    def text(self, asked: Asked) -> str:
        """The answer to a question; empty where it was left out, or is still to come."""
        return next((text for each, text in self.answers if each == asked), "")

    def answered(self, typed: str) -> Said | str:
        """The same with the question at hand answered, or a sentence that says why that is no answer."""
        asked = self.asked
        text = self._tidy(asked, typed.strip())
        wrong = self._refused(asked, text)
        if wrong:
            return wrong
        ahead = self.ahead[:-1] if self.ahead and self.ahead[-1][0] == asked else ()
        return replace(self, answers=(*self.answers, (asked, text)), ahead=ahead)

    def back(self) -> Said | None:
        """The same one question before; None where there is none."""
        if not self.answers:
            return None
        return replace(self, answers=self.answers[:-1], ahead=(*self.ahead, self.answers[-1]))

    @property
    def folder(self) -> Path:
        """The folder of the book."""
        text = self.text(Where())
        return Path(text) if text else self.usual

    @property
    def people(self) -> tuple[str, ...]:
        """The names of its people."""
        return tuple(text for each, text in self.answers if isinstance(each, Works) and text)

    @property
    def tools(self) -> tuple[Mapping[str, Value], ...]:
        """Its first tools as entries of tools.toml, as far as each has a name."""
        numbers = range(1, MOST_TOOLS + 1)
        return tuple(self.filling(number).entry for number in numbers if self.text(ToolItem(number, NAME)))

    @property
    def new_book(self) -> NewBook:
        """All of it as one value."""
        paper: Paper | None = "letter" if self.text(PrintsOn()) == "letter" else None
        return NewBook(
            name=self.text(Named()) or UNNAMED,
            people=self.people,
            paper=paper or ("a4" if self.text(PrintsOn()) else None),
            unit=self.text(MeasuresIn()) or None,
            tools=self.tools,
        )

    def filling(self, number: int) -> Filling:
        """One of its first tools as far as it is filled in, behind those before it."""
        before = tuple(self.filling(each).entry for each in range(1, number))
        filling = begun(tools_file(before), "tool", None)
        items = {item.name: item for item in filling.items}
        for each, text in self.answers:
            if isinstance(each, ToolItem) and each.tool == number:
                filling = filling.with_value(items[each.item], text)
        return filling

    def _tidy(self, asked: Asked, text: str) -> str:
        """The answer as it is kept: a folder as its whole path, a text without blanks at its ends."""
        return str(Path(text).expanduser().absolute()) if isinstance(asked, Where) and text else text

    def _refused(self, asked: Asked, text: str) -> str:
        try:
            match asked:
                case Where():
                    can_become_a_book(Path(text) if text else self.usual)
                case Named():
                    clean(text, what="the name", most=MOST_OF_A_NAME)
                case Works():
                    newcomers((*self.people, text) if text else self.people)
                case ToolItem(tool=tool, item=item):
                    return refused(self.filling(tool), item, text)
                case PrintsOn() | MeasuresIn() | Sure():
                    pass
                case _ as never:
                    assert_never(never)
        except (LedgerFault, TextFault) as fault:
            return as_sentence(fault.sentence)
        return ""


def _after(asked: Asked, text: str) -> Asked:
    """The question that comes after this one was answered so."""
    match asked:
        case Where():
            return Named()
        case Named():
            return Works(0)
        case Works(number=number):
            return Works(number + 1) if text else PrintsOn()
        case PrintsOn():
            return MeasuresIn()
        case MeasuresIn():
            return ToolItem(1, NAME)
        case ToolItem(tool=tool, item=item):
            return _after_item(tool, item, text)
        case Sure():
            return Sure()
        case _ as never:
            assert_never(never)


def _after_item(tool: int, item: str, text: str) -> Asked:
    if item == NAME and not text:
        return Sure()
    if item != ITEMS[-1]:
        return ToolItem(tool, ITEMS[ITEMS.index(item) + 1])
    return ToolItem(tool + 1, NAME) if tool < MOST_TOOLS else Sure()
