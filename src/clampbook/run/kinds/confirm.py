"""Confirming: one deliberate key for several pulls with a setting tool, or for a caution that stands before a stage."""

from __future__ import annotations

from dataclasses import replace as with_
from decimal import Decimal

from msgspec.structs import replace

from clampbook import units
from clampbook.ledger.stamp import Stamp
from clampbook.run import events as e
from clampbook.run.answers import Accepted, Answer, DoneUpTo, Plus, Refused
from clampbook.run.fold.acts import CLICKED, CONFIRMED, Act, Kind
from clampbook.run.fold.fastener import pulled as pull
from clampbook.run.fold.frames import advance, frame_at_hand, pending
from clampbook.run.fold.line import Line
from clampbook.run.fold.pulls import pulled, worked
from clampbook.run.gather.draft import Draft, Part
from clampbook.run.gather.keys import Keys
from clampbook.run.kinds import pulls, tighten
from clampbook.run.kinds.kind import Outcome, Tools
from clampbook.run.kinds.stamping import common
from clampbook.run.kinds.values import ends
from clampbook.run.plan import Plan
from clampbook.run.progress import Progress, standing
from clampbook.run.prompts import Choice, Confirm, Tighten
from clampbook.run.session import Session
from clampbook.run.told.marks import marked
from clampbook.run.told.places import (
    LEFT_HAND,
    bolts_in_order,
    bolts_named,
    named,
    tightened,
    within_a_sentence,
)
from clampbook.run.told.words import Words
from clampbook.text import started

_NAMED_AT_MOST = 6  # positions of one sentence
_SEVERAL: tuple[Kind, str] = ("confirmation", CONFIRMED)
_ALONE: tuple[Kind, str] = ("click", CLICKED)


def keys(prompt: Confirm) -> Keys:
    """That it is read, or that each of them has let go once."""
    if prompt.pull is None:
        return Keys((Choice("+", "read", "read", Plus()),))
    return Keys((Choice("+", f"all {pulls.giving(prompt.pull.aim).did}", "all_clicked", Plus()), pulls.BAD))


def words(prompt: Confirm) -> Words:
    """The caution; or which positions are pulled, in their order."""
    pull, terms = prompt.pull, ("setting tool", "window", "target")
    if pull is None:
        return Words(_sentence(prompt), prompt.cautions, about=prompt.positions, terms=terms)
    caption = "positions" if len(prompt.positions) > 1 else "position"
    return Words(
        _sentence(prompt),
        (*prompt.cautions, *_order(prompt), *tighten.matters(pull)),
        hand=pulls.mark(pull.aim),
        position=pulls.large(named(prompt.positions), prompt.where, caption),
        about=prompt.positions,
        picture=True,
        terms=terms,
        facts=with_(pulls.aimed(pull.aim), positions=prompt.positions),
    )


def _sentence(prompt: Confirm) -> str:
    if prompt.pull is None:
        joint = f" ({prompt.where.joint})" if prompt.where.joint is not None else ""
        return f"Read this before stage {prompt.where.stage_told}{joint}."
    aim, around = prompt.pull.aim, tightened(prompt.where)
    if len(prompt.positions) == 1:
        return tighten.sentence(prompt.pull)
    here = _together(prompt) + (LEFT_HAND if prompt.where.left_hand else "")
    if prompt.pull.finished_before:
        return f"{here}: did {aim.hand} {pulls.giving(aim).act} once at each?"
    each = "one click each" if aim.tool.gives == "click" else f"{pulls.until_it_gives(aim)}, once each"
    return f"{here}: pull {aim.hand} slowly{around}, {each}, in order."


def _together(prompt: Confirm) -> str:
    """Name them one by one; where they would fill more than a line they are counted, and their order stands below."""
    named, count = bolts_in_order(prompt.where.group, prompt.positions), len(prompt.positions)
    return named if count <= _NAMED_AT_MOST else f"{bolts_in_order(prompt.where.group, ())} ({count})"


def _order(prompt: Confirm) -> tuple[str, ...]:
    return (f"in order {', '.join(prompt.positions)}",) if len(prompt.positions) > _NAMED_AT_MOST else ()


def complete(prompt: Confirm, session: Session, begun: Answer, draft: Draft) -> Part | Refused | Answer:
    """Nothing more is asked."""
    del prompt, session, draft
    return begun


def decide(session: Session, prompt: Confirm, answer: Answer, stamp: Stamp) -> Outcome:
    """Several pulls in one answer, or cautions read before a stage."""
    if prompt.pull is None:
        if not isinstance(answer, Plus):
            return Refused("Press + when you have read it.")
        read = e.CautionsRead(
            **common(session, stamp, prompt),
            item=prompt.item or "cautions",
            cautions=prompt.cautions,
            stage=prompt.where.stage,
        )
        return Accepted(read)
    match answer:
        case Plus():
            last = prompt.positions[-1]
        case DoneUpTo(position=position) if position in prompt.positions:
            last = position
        case DoneUpTo():
            return Refused(f"Choose one of {', '.join(prompt.positions)}.")
        case _:
            return Refused(f"Press + when all have {pulls.giving(prompt.pull.aim).done} once.")
    return _confirmed(session, prompt, prompt.pull, last, stamp)


def _confirmed(session: Session, prompt: Confirm, pull: Tighten, last: str, stamp: Stamp) -> Outcome:
    if pull.set_to is None:
        return Refused("Only clicks of a setting tool can be confirmed several at once.")
    count = prompt.positions.index(last) + 1
    done = f"{'they have' if count > 1 else 'it has'} {pulls.giving(pull.aim).done}"
    hurried = pulls.too_soon(session, stamp, pull.least_pull, done, pulls=count)
    if hurried and not pull.finished_before:
        return Refused(hurried)
    stage, round_no = prompt.where.stage, prompt.where.round
    return Accepted(
        e.Confirmed(
            **common(session, stamp, pull),
            first=prompt.where.id,
            last=f"{stage}.{round_no}/{last}",
            tool=pull.tool.id,
            adapter=pull.aim.adapter_id,
            set_to=units.plain(pull.set_to.value),
            unit=pull.set_to.unit,
            at_fastener=pulls.set_there(pull),
            window=ends(pull.window),
            positions=prompt.positions[:count],
        )
    )


def fold(plan: Plan, progress: Progress, event: e.Confirmed) -> Progress:
    """Several clicks in one answer: every position from the first to the last step that was still to be done."""
    first, last = plan.index_of[event.first], plan.index_of[event.last]
    progress = worked(progress, event, event.last)
    frame = frame_at_hand(progress)
    block = [index for index in range(first, last + 1) if pending(plan, progress, frame, index)]
    for index in block:
        position = plan.steps[index].position
        if position is None:
            continue
        before = standing(progress, position)
        fastener = pull(before.fastener, Decimal(event.at_fastener), "setting", event.seq)
        state = pulled(before, index, event.seq, "release", fastener)
        done = replace(state, outcome="clicked", through=index)
        recent = (*(each for each in progress.recent if each != position), position)[-3:]
        progress = replace(progress, positions=progress.positions.insert(position, done), recent=recent)
    return advance(plan, progress)


def acts(line: Line, event: e.Confirmed) -> tuple[Act, ...]:
    """One for each position that the walk took as pulled by this line, and for no other between the two ends. One that
    was the last of its block, or is done again alone, is confirmed pull by pull as any other click."""
    first, last = line.plan.index_of[event.first], line.plan.index_of[event.last]
    figures = {"set_to": event.set_to, "unit": event.unit, "at_fastener": event.at_fastener}
    pulled_now = [
        step.id
        for index, step in enumerate(line.plan.steps[first : last + 1], start=first)
        if step.position is not None
        if (state := standing(line.after, step.position)).latest == event.seq and state.latest_step == index
    ]
    kind, outcome = _SEVERAL if len(pulled_now) > 1 else _ALONE
    return tuple(line.act(kind, each, outcome, tool=event.tool, window=event.window, **figures) for each in pulled_now)


def tell(event: e.Confirmed, plan: Plan, _: Tools) -> str:
    """Tell which of them clicked."""
    done = event.positions or _between(event, plan)
    group = plan.group_named.get(plan.steps[plan.index_of[event.first]].group or "")
    name, one = (None, None) if group is None else (group.name, group.one)
    here = within_a_sentence(bolts_named(name, done, one))
    return f"{started(marked('clicked'))}: {here}. No reading{'s' * (len(done) > 1)}."


def _between(event: e.Confirmed, plan: Plan) -> tuple[str, ...]:
    """The positions of all its steps, where the line itself does not name them."""
    steps = plan.steps[plan.index_of[event.first] : plan.index_of[event.last] + 1]
    return tuple(step.position for step in steps if step.position is not None)
