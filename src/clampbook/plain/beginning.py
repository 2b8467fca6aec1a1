"""Questions before a run exists: who, final or trial, which joint or joints. Asking stores nothing."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from clampbook.ledger.stamp import There
from clampbook.people import Person
from clampbook.plain.face import Face
from clampbook.plain.lines import Lines
from clampbook.procedure.model import Procedure
from clampbook.run.answers import Refused
from clampbook.run.gather.asking import (
    WHICH_RUN,
    despite,
    final_or_trial,
    named,
    start_without_a_tool,
    which_joint,
    which_joints,
    who,
)
from clampbook.run.gather.draft import JOINTS, NONE, Draft, Named, Part, take
from clampbook.run.on_form.starting import (
    BEGAN,
    DONE_BY,
    FORM,
    OTHER,
    YES,
    beginning,
    hands,
    other_revision,
    this_revision,
)
from clampbook.run.on_form.times import beginning_of


class NothingBegun(Exception):  # noqa: N818 - the person went no further
    """The input ended, or the person went back, before there was a run."""


class Beginning:
    """Asks what was not given on the command line. Raises NothingBegun where there are no more lines."""

    def __init__(self, face: Face, lines: Lines, named: Named) -> None:
        self._face = face
        self._lines = lines
        self._named = named

    def who(self, known: tuple[Person, ...]) -> Person:
        """Ask who is at the keyboard; answered by number or name."""
        person = self._asked(who(known)).person("who")
        if person is None:
            raise NothingBegun
        return person

    def despite(self, procedure: Procedure) -> str | None:
        """Ask why a withdrawn procedure is started anyway; asked only where it is."""
        if procedure.status != "withdrawn":
            return None
        return self._asked(despite(procedure)).text("despite")

    def trial(self, procedure: Procedure) -> bool:
        """Final or trial assembly; asked only where stages are marked for leaving out."""
        if not any(stage.trial_skip for stage in procedure.stages):
            return False
        return self._asked(final_or_trial()).text("trial") == "trial"

    def joint(self, procedure: Procedure) -> str | None:
        """Ask for one of the joints that the procedure makes several times."""
        if not procedure.repeat:
            return None
        return self._asked(which_joint(procedure)).text("joint")

    def only(self, procedure: Procedure) -> tuple[str, ...]:
        """Ask which of several joints are done in this run."""
        return () if procedure.joints is None else self._asked(which_joints(procedure.joints)).positions(JOINTS)

    def revision(self, known: Sequence[str]) -> int | None:
        """Ask which revision stands at the foot of a form: the one at hand first, then one of the others, by its place;
        None where it is none of them."""
        if self._asked(this_revision(known[0])).text(FORM) == YES:
            return 0
        if len(known) == 1:
            return None
        chosen = self._asked(other_revision(known[1:])).text(OTHER)
        return None if chosen == NONE else int(chosen) + 1

    def of_the_form(self, now: datetime, there: There) -> datetime:
        """Ask for the day and time at which a filled paper form begins."""
        while True:
            typed = self._asked(beginning()).text(BEGAN)
            found = beginning_of(typed, now, there)
            if not isinstance(found, str):
                return found
            self._face.refused(found)

    def without_a_tool(self) -> None:
        """Ask whether to start though no tool can do the first pull. Raises NothingBegun where not."""
        if self._asked(start_without_a_tool()).text("without_a_tool") != "start":
            raise NothingBegun

    def hands(self, people: tuple[Person, ...]) -> tuple[Person, ...]:
        """Ask who stands at the head of the form as having done the work, line by line; none where no name does."""
        found: dict[Person, None] = {}
        while (person := self._asked(hands(people, further=bool(found))).person(DONE_BY)) is not None:
            found[person] = None
        return tuple(found)

    def run(self, ids: tuple[str, ...]) -> str:
        """Ask for one of several open runs, by its id."""
        part = Part("run", WHICH_RUN, "choice", named(ids))
        return self._asked(part).text("run")

    def _asked(self, part: Part) -> Draft:
        while True:
            self._lines.throw_away_waiting()
            self._face.ask_part(part, None)
            line = self._lines.read()
            if line is not None and line.strip() == "*" and part.about is not None:
                part = part.about
                continue
            if line is None or line.strip() in ("*", "pause"):
                raise NothingBegun
            answer = take(Draft("begin"), part, line, self._named)
            if isinstance(answer, Refused):
                self._face.refused(answer.sentence)
            elif answer.asks is not None:
                part = answer.asks
            else:
                return answer
