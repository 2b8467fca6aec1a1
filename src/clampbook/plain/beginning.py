"""What must be known before a run exists: who, final or trial, which joint. Asking stores nothing."""

from __future__ import annotations

from clampbook.people import Person
from clampbook.plain.face import Face
from clampbook.plain.lines import Lines
from clampbook.procedure.model import Procedure
from clampbook.run.answers import Refused
from clampbook.run.asking import numbered
from clampbook.run.draft import Draft, Named, Part, take
from clampbook.run.prompts import Choice


class NothingBegun(Exception):  # noqa: N818 - the person went no further
    """The input ended, or the person went back, before there was a run."""


class Beginning:
    """Asks what was not given on the command line. Raises NothingBegun where there are no more lines."""

    def __init__(self, face: Face, lines: Lines, named: Named) -> None:
        self._face = face
        self._lines = lines
        self._named = named

    def who(self, known: tuple[Person, ...]) -> Person:
        """Who is at the keyboard, by number or name."""
        choices = tuple(Choice(str(n), one.name) for n, one in enumerate(known, 1))
        text = "Who are you? Type the number or a name." if known else "Who are you? Type your name."
        person = self._asked(Part("who", text, "person", choices, known)).person("who")
        if person is None:
            raise NothingBegun
        return person

    def trial(self, procedure: Procedure) -> bool:
        """Final or trial assembly; asked only where stages are marked for leaving out."""
        if not any(stage.trial_skip for stage in procedure.stages):
            return False
        ways = ("final", "trial: some stages are left out, and it cannot be signed as final")
        return self._asked(Part("trial", "Final or trial assembly?", "choice", numbered(ways))).text("trial") == "2"

    def joint(self, procedure: Procedure) -> str | None:
        """Which of the joints that the procedure makes several times."""
        if not procedure.repeat:
            return None
        part = Part("joint", "Which one is it?", "choice", numbered(procedure.repeat))
        return procedure.repeat[int(self._asked(part).text("joint")) - 1]

    def run(self, texts: tuple[str, ...]) -> int:
        """Which of several open runs, by its place in the list from 0."""
        part = Part("run", "Which run is taken up again?", "choice", numbered(texts))
        return int(self._asked(part).text("run")) - 1

    def _asked(self, part: Part) -> Draft:
        while True:
            self._lines.throw_away_waiting()
            self._face.ask_part(part, None)
            line = self._lines.read()
            if line is None or line.strip() in ("*", "pause"):
                raise NothingBegun
            answer = take(Draft("begin"), part, line, self._named)
            if not isinstance(answer, Refused):
                return answer
            self._face.refused(answer.sentence)
