"""A list of what a book holds: a number opens its line, and what came of that is told below it."""

from __future__ import annotations

from abc import abstractmethod

from clampbook.screens.hinting import BACK_HINT, HELP
from clampbook.screens.questions import Question, Questions
from clampbook.screens.widgets.bottom_line import KeyHint

CHOOSE = KeyHint("number or ↑↓", "choose")
OPEN = KeyHint("Enter", "open")
KEYS_OF_A_LIST = ("Type a number, or choose with ↑ ↓, then press Enter.",)


class Listing(Questions):
    """The lines are read again after each deed."""

    def keys(self) -> tuple[KeyHint, ...]:
        """The keys in use."""
        return (CHOOSE, OPEN, BACK_HINT, HELP)

    def take(self, line: str) -> None:
        """Open what has this number."""
        place = self.picked(line)
        if place is not None:
            self.open(place)

    def back(self) -> None:
        """Back to the bench."""
        if self.is_current:
            self.dismiss()

    def again(self, told: str = "") -> None:
        """The list as it is now, and what came of it."""
        self.part, self.notice = self.read(), told
        if self.is_attached:
            self.ask()

    @abstractmethod
    def read(self) -> Question:
        """The list, read now."""

    @abstractmethod
    def open(self, place: int) -> None:
        """Do what belongs to the line at this place, from 0."""
