"""The protocols that mypy holds the modules against: a question, what can be said anywhere, work, and what leaves
lines.

Only types look here: nothing of it is loaded when a run is walked.
"""

from __future__ import annotations

from typing import Protocol, TypeVar

from clampbook.ledger.stamp import Stamp
from clampbook.run import events as e
from clampbook.run.answers import Answer
from clampbook.run.fold.acts import Act
from clampbook.run.fold.line import Line
from clampbook.run.gather.draft import Draft
from clampbook.run.gather.keys import Keys
from clampbook.run.kinds.kind import Next, Outcome, Paper, Planned, Tools
from clampbook.run.plan import Plan
from clampbook.run.progress import Progress
from clampbook.run.prompts import Prompt
from clampbook.run.session import Session
from clampbook.run.told.words import Words

S = TypeVar("S", contravariant=True)
Q = TypeVar("Q", contravariant=True)
A = TypeVar("A", bound=Answer, contravariant=True)
E = TypeVar("E", bound=e.Event, contravariant=True)


class Question(Protocol[Q]):
    """Anything that is asked, work or not."""

    def keys(self, prompt: Q, /) -> Keys:
        """Give what can be typed."""

    def words(self, prompt: Q, /) -> Words:
        """Give what is shown."""

    def complete(self, prompt: Q, session: Session, begun: Answer, draft: Draft, /) -> Next:
        """Give what is asked next of an answer that a choice or a text began; or the answer."""

    def decide(self, session: Session, prompt: Q, answer: Answer, stamp: Stamp, /) -> Outcome:
        """Decide what an answer comes to."""


class Said(Protocol[A]):
    """An act that can be said at any prompt."""

    def complete(self, prompt: Prompt, session: Session, draft: Draft, /) -> Next:
        """Give what is asked next of it; or the answer."""

    def decide(self, session: Session, prompt: Prompt, answer: A, stamp: Stamp, /) -> Outcome:
        """Decide what it comes to."""


class Staged(Protocol[S]):
    """Work that comes of a stage."""

    def plan(self, stage: S, unit: str, /) -> Planned:
        """Give its place in the plan; `unit` is the sheet's torque unit."""

    def ask(self, session: Session, index: int, stage: S, /) -> Prompt:
        """Give what is asked at its step."""

    def paper(self, stage: S, unit: str, /) -> Paper:
        """Give its part of a form."""


class Leaves(Protocol[E]):
    """A module that leaves lines in the daybook, and says what they are."""

    def fold(self, plan: Plan, progress: Progress, event: E, /) -> Progress:
        """Fold a line into the state of a run."""

    def acts(self, line: Line, event: E, /) -> tuple[Act, ...]:
        """Give what was done in a line."""

    def tell(self, event: E, plan: Plan, tools: Tools, /) -> str:
        """Tell what a line says, in words after the answer; `tools` gives the names that stand on the tools."""


class Work(Staged[S], Question[Q], Protocol[S, Q]):
    """A stage, and what is asked at it."""


class Kind(Work[S, Q], Leaves[E], Protocol[S, Q, E]):
    """Work whole in one module: a stage, what is asked at it, and the lines that it leaves."""
