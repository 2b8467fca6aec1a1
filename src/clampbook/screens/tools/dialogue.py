"""Some questions one after the other, asked by a generator that gives what came of them at its end."""

from __future__ import annotations

from collections.abc import Callable, Generator
from typing import Generic, TypeVar

from clampbook.people import Person
from clampbook.run.gather.asking import who
from clampbook.run.gather.draft import Named, Part
from clampbook.screens.questions import Questions

Outcome = TypeVar("Outcome")
Given = str | Person
Steps = Generator[Part, Given, Outcome]


class Dialogue(Questions, Generic[Outcome]):
    """Asks part by part; `done` gets what came of it once this screen is gone. Esc leaves, and nothing came of it."""

    then = (
        "Nothing is saved before you answer the last question.",
        "Esc leaves, and nothing has changed.",
    )

    def __init__(self, title: str, steps: Steps[Outcome], named: Named, done: Callable[[Outcome], None]) -> None:
        self._title = title
        self._steps = steps
        self._named = named
        self._done = done
        self._asked = next(steps)
        super().__init__(self._asked)

    def heading(self) -> str:
        """Tell what this is about."""
        return self._title

    def take(self, line: str) -> None:
        """One answer."""
        given = self.given(line, self._named)
        if given is None:
            return
        person, name = given.person(self._asked.name), self._asked.name
        try:
            self._asked = self._steps.send(person if person is not None else given.text(name))
        except StopIteration as end:
            self.dismiss()
            self.app.call_later(self._done, end.value)
            return
        self.ask(self._asked)

    def back(self) -> None:
        """Nothing came of it; a name that is asked about is typed again."""
        if self.is_current and not self.back_to_the_name():
            self.dismiss()


def only_who(people: tuple[Person, ...]) -> Steps[Person]:
    """Nothing but who is there."""
    person = yield who(people)
    assert isinstance(person, Person)
    return person
