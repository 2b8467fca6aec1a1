"""Asks what a new book begins with, and makes it once all is said."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

from msgspec.structs import replace
from textual.content import Content

from clampbook.book.book import Book
from clampbook.book.new_book import make
from clampbook.faults import Faulty, briefly
from clampbook.ledger.refusals import LedgerFault
from clampbook.screens.choosing import choices_shown, wrapped
from clampbook.screens.help_page import HelpPage
from clampbook.screens.hinting import among
from clampbook.screens.key_meaning import Asked, Wanted
from clampbook.screens.new_book import asking
from clampbook.screens.new_book.said import Said, Sure
from clampbook.screens.question_help import help_at
from clampbook.screens.questions import Questions
from clampbook.screens.widgets.bottom_line import KeyHint
from clampbook.text import TextFault, as_sentence, printable

_NAMES = 6  # columns, of the longest name of what is said


class MakingBook(Questions):
    """One question after the other. `made` gets the book; Esc goes back one question, at the first one out of it."""

    then = (
        "Nothing is saved before the last question, “Make this book?”.",
        "Esc goes back one question, and the answer that was given stands in the field.",
        "All but the folder can come later: people, tools and procedures on the bench, the rest in book.toml.",
    )

    def __init__(self, usual: Path, made: Callable[[Book], None], today: date) -> None:
        self.said = Said(usual)
        self._today = today
        self._filled = False  # something stands in the field
        self._made = made
        super().__init__(asking.question(self.said))

    def heading(self) -> str:
        """Tell what is made."""
        return "New book"

    def keys(self) -> tuple[KeyHint, ...]:
        """The keys in use."""
        return asking.keys(self.said, self.field)

    def want(self) -> Wanted:
        """Whatever is typed stands in the field, so that no part of it is taken for another answer."""
        return replace(super().want(), text=True)

    def show_field(self) -> None:
        """All of it where the first sign is typed, or the last one taken away: Enter is a key then, or none."""
        filled = bool(self.field.strip())
        if filled != self._filled:
            self._filled = filled
            self.paint()
        else:
            super().show_field()

    def explain(self) -> None:
        """F1: the question with the keys of an empty field."""
        lines = help_at(self.part, super().want(), asking.keys(self.said), self.then)
        self.app.push_screen(HelpPage("Help", lines))

    def ask(self, part: Asked | None = None) -> None:
        """The field begins with the answer that was gone back over."""
        super().ask(part)
        self.field = self._before()
        self.fresh = bool(self.field)
        self.paint()

    def _before(self) -> str:
        """The answer before, as it is typed: of a list its number."""
        listed = tuple(asking.choices(self.said))
        before = self.said.before
        return str(listed.index(before) + 1) if before in listed else before

    def take(self, line: str) -> None:
        """One answer."""
        answer = line.strip()
        if self.part.choices and (answer.isdecimal() or self.part.kind == "choice"):
            if not answer and asking.enter_alone(self.said):
                self._answered("")
                return
            if not answer:
                self.tell(among(tuple(choice.key for choice in self.part.choices)))
                return
            place = self.picked(line)
            if place is not None:
                self._answered(tuple(asking.choices(self.said))[place])
            return
        if not answer and not asking.enter_alone(self.said):
            self.tell("Nothing typed. Type it, or press Esc to go back.")
            return
        self._answered(answer)

    def _answered(self, text: str) -> None:
        if isinstance(self.said.asked, Sure):
            self._end(text)
            return
        said = self.said.answered(text)
        if isinstance(said, str):
            self.field = ""
            self.tell(said)
            return
        self._go_on(said, asking.remark(said, self._today))

    def _go_on(self, said: Said, told: str = "") -> None:
        self.said, self.notice = said, told
        self.ask(asking.question(said))

    def _end(self, chosen: str) -> None:
        if chosen != asking.MAKE:
            self.dismiss()
            return
        try:
            book = make(self.said.folder, self.said.new_book)
        except (LedgerFault, TextFault) as fault:
            self.tell(as_sentence(fault.sentence))
        except Faulty as faulty:
            self.tell(briefly(faulty))
        else:
            self.dismiss()
            self.app.call_later(self._made, book)

    def back(self) -> None:
        """One question back; from the first one out of it."""
        before = self.said.back()
        if before is not None:
            self._go_on(before)
        elif self.is_current:
            self.dismiss()

    def listed(self) -> Content:
        """The choices, and below them all that was said."""
        parts = [choices_shown(self.part.choices, self.field, self.columns)] if self.part.choices else []
        said = asking.gathered(self.said)
        if said:
            width = max(self.columns - _NAMES - 2, 8)
            parts += [Content()] if parts else []
            for name, text in said:
                rows = f"\n{' ' * (_NAMES + 2)}".join(wrapped(printable(text), width))
                parts.append(Content.assemble((f"{name:<{_NAMES}}", "$quiet"), "  ", rows))
        return Content("\n").join(parts)
