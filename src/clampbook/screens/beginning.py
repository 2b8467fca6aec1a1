"""Asks what must be known before a run exists, or goes on. Asking stores nothing."""

from __future__ import annotations

from collections.abc import Callable

from clampbook.people import Person
from clampbook.run.answers import Refused
from clampbook.run.gather.draft import Part
from clampbook.screens.questions import Questions
from clampbook.screens.settled import Settled, next_part, settle


class Beginning(Questions):
    """Asks what is not known yet, and hands it on once all is; None where the person went back."""

    then = (
        "Nothing is saved yet. After your last answer the first step follows.",
        "Esc leaves, and nothing has started.",
    )

    def __init__(
        self,
        settled: Settled,
        people: tuple[Person, ...],
        named: Callable[[str], Person],
        begun: Callable[[Settled | None], None],
    ) -> None:
        first = next_part(settled, people)
        super().__init__(first if first is not None else Part("who", "", "person"))
        self.settled = settled
        self._people = people
        self._named = named
        self._begun = begun

    def heading(self) -> str:
        """Name what it is that begins; where there is no room for all of it, its last parts go whole."""
        from clampbook.screens.heading import BETWEEN, fitting

        return fitting(tuple(self.settled.title.split(BETWEEN)), self.size.width - 2)

    def take(self, line: str) -> None:
        """One answer."""
        given = self.given(line, self._named)
        if given is None:
            return
        settled = settle(self.settled, given)
        if isinstance(settled, Refused):
            self.tell(settled.sentence)
            return
        self.settled = settled
        part = next_part(self.settled, self._people)
        if part is None:
            self._begun(self.settled)
        else:
            self.ask(part)

    def back(self) -> None:
        """Nothing begins; a name that is asked about is typed again."""
        if not self.back_to_the_name():
            self._begun(None)
