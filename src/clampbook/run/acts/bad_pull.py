"""The pull just made was bad: it was not saved, and a value may be added."""

from __future__ import annotations

from clampbook import text as foreign
from clampbook.ledger.stamp import Stamp
from clampbook.run import events as e
from clampbook.run.acts.at_hand import pull_at
from clampbook.run.acts.off_scale import typed_again
from clampbook.run.acts.told import NO_PULL, told
from clampbook.run.acts.what_it_showed import CLICKED, clicked, gives_a_click, ringed, shows_a_value
from clampbook.run.answers import Accepted, BadPull, Refused
from clampbook.run.gather.asking import reason
from clampbook.run.gather.draft import NONE, Draft, Part
from clampbook.run.kinds.kind import Next, Outcome
from clampbook.run.kinds.stamping import common
from clampbook.run.kinds.values import Wrong
from clampbook.run.prompts import Choice, Prompt, Turn
from clampbook.run.session import Session

_NOT_READ = "not_read"


def complete(prompt: Prompt, session: Session, draft: Draft) -> Next:
    """Ask what the tool told of it: its number, or with a setting tool whether it clicked."""
    late = session.plan.late
    tool = gives_a_click(prompt)
    if tool is not None and not draft.has("value"):
        if not draft.has("clicked"):
            return ringed() if late else clicked(tool)
        return BadPull(clicked=CLICKED[draft.text("clicked")])
    shows = shows_a_value(prompt)
    if shows is not None and not draft.has("value"):
        text = f"Bad pull: what did {shows.name} show, in {shows.unit}?"
        if late:
            text = f"Crossed out: which number stands there, in {shows.unit}?"
        none = Choice(NONE, "none" if late else "not read", _NOT_READ)
        return Part("value", text, "number", (none,), enter=NONE)
    pull = pull_at(prompt)
    if (
        isinstance(pull, Turn) and pull.by_marks and not draft.has("value") and not late
    ):  # a stray key must store nothing
        if not draft.has("reason"):
            return reason("void", "Bad pull: what was wrong?")
        return BadPull(draft.text("reason"))
    shown = draft.text("value")
    value = None if shown in ("", _NOT_READ) else typed_again(prompt, draft, shown)
    return value if isinstance(value, Part) else BadPull(value=value)


def decide(session: Session, prompt: Prompt, answer: BadPull, stamp: Stamp) -> Outcome:
    """The pull just made was bad; it was not saved, a value may be added."""
    pull = pull_at(prompt)
    if pull is None:
        return Refused(f"{NO_PULL} Void a saved pull with *9.")
    found = told(session, pull, answer.value, answer.clicked, pull.window)
    if isinstance(found, Wrong):
        return Refused(found.sentence)
    return Accepted(
        e.Voided(
            **common(session, stamp, prompt),
            step=pull.where.id,
            attempt=pull.where.attempt,
            of=None,
            cause=foreign.clean(answer.cause, what="the cause", most=80),
            **found,
        )
    )
