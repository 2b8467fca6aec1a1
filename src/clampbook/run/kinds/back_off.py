"""Backing off before a recheck that tightens again: marked, backed off, and after the pull whether it is back there."""

from __future__ import annotations

from clampbook import units
from clampbook.ledger.stamp import Stamp
from clampbook.run import events as e
from clampbook.run.answers import Accepted, Answer, AtMark, Plus, Refused
from clampbook.run.gather.draft import Draft, Part
from clampbook.run.gather.keys import Keys
from clampbook.run.kinds import pulls
from clampbook.run.kinds.kind import Outcome
from clampbook.run.kinds.stamping import common
from clampbook.run.prompts import BackAtMark, BackOff, Choice
from clampbook.run.session import Session
from clampbook.run.told.places import bolt, pulled_at
from clampbook.run.told.words import Facts, Figure, Words

_AT_ITS_MARK = (
    Choice("1", "yes", "back", AtMark("back")),
    Choice("2", "short", "short", AtMark("short")),
    Choice("3", "past it", "past", AtMark("past")),
)
_METHOD = "back off and tighten again"


def keys(prompt: BackOff | BackAtMark) -> Keys:
    """That it is backed off; or how it came back to its mark."""
    return Keys((Choice("+", "done", "done", Plus()),) if isinstance(prompt, BackOff) else _AT_ITS_MARK)


def words(prompt: BackOff | BackAtMark) -> Words:
    """ "Head bolt 6: mark it, back off 30° without a torque tool." and what comes after the pull."""
    round_no = (f"round {prompt.pass_no}",) if prompt.pass_no > 1 else ()
    told = (f"method: {_METHOD}", *round_no)
    if isinstance(prompt, BackAtMark):
        return Words(_sentence(prompt), told)
    return Words(
        _sentence(prompt),
        told,
        hand=Figure(f"{units.plain(prompt.by)}°", "", "back off by"),
        position=pulls.position(prompt.where),
        picture=True,
        facts=Facts(target=units.Quantity(prompt.by, "°")),
    )


def _sentence(prompt: BackOff | BackAtMark) -> str:
    here = bolt(prompt.where)
    if isinstance(prompt, BackAtMark):
        return f"{here}: is it back at its mark?"
    way = " clockwise" if prompt.left_hand else ""
    return f"{pulled_at(prompt.where)}: mark it, back off {units.show(prompt.by, '°')}{way} without a torque tool."


def complete(prompt: BackOff | BackAtMark, session: Session, begun: Answer, draft: Draft) -> Part | Refused | Answer:
    """Nothing more is asked."""
    del prompt, session, draft
    return begun


def decide(session: Session, prompt: BackOff | BackAtMark, answer: Answer, stamp: Stamp) -> Outcome:
    """Backed off; back at its mark, or not."""
    if isinstance(prompt, BackOff):
        return _backed_off(session, prompt, answer, stamp)
    return _at_mark(session, prompt, answer, stamp)


def _backed_off(session: Session, prompt: BackOff, answer: Answer, stamp: Stamp) -> Outcome:
    """It was marked and backed off."""
    if not isinstance(answer, Plus):
        return Refused("Mark it, back it off without a torque tool, then press +.")
    return Accepted(
        e.BackedOff(
            **common(session, stamp, prompt),
            step=prompt.where.id,
            attempt=prompt.where.attempt,
            pass_no=prompt.pass_no,
            by_degrees=units.plain(prompt.by),
        )
    )


def _at_mark(session: Session, prompt: BackAtMark, answer: Answer, stamp: Stamp) -> Outcome:
    """Judge how it came back to its mark: short of it or past it, it is not as it had been left."""
    if not isinstance(answer, AtMark):
        return Refused("Say whether it is back at its mark: 1 yes, 2 short, 3 past it.")
    return Accepted(
        e.Rechecked(
            **common(session, stamp, prompt),
            step=prompt.where.id,
            attempt=prompt.where.attempt,
            pass_no=prompt.pass_no,
            method=_METHOD,
            moved=answer.mark != "back",
            mark=answer.mark,
        )
    )
