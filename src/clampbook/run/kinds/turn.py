"""Turning: an angle from a mark, in strokes where need be, read off a gauge or by the mark."""

from __future__ import annotations

from decimal import Decimal

from msgspec.structs import replace

from clampbook import units
from clampbook.figures import plain
from clampbook.ledger.stamp import Stamp
from clampbook.procedure.both_units import window as in_both_units
from clampbook.procedure.model import Turn as Stage
from clampbook.run import events as e
from clampbook.run.answers import Accepted, Answer, Plus, Refused, Value
from clampbook.run.fold.acts import BY_THE_MARK, DEGREES, Act
from clampbook.run.fold.fastener import told_over, turned_so_far
from clampbook.run.fold.fastener import turned as turn
from clampbook.run.fold.frames import left_unsaid
from clampbook.run.fold.line import Line, judged
from clampbook.run.fold.pulls import after_limit, pulled, question, settle, still_turning, turn_settled, worked
from clampbook.run.fold.verdict import judge
from clampbook.run.gather.draft import Draft, Part
from clampbook.run.gather.keys import Keys
from clampbook.run.in_hand.ask_for import MARKS, ready_gauge
from clampbook.run.kinds import beside, pulls
from clampbook.run.kinds.kind import Column, Outcome, Paper, Planned, Tools
from clampbook.run.kinds.stamping import common
from clampbook.run.kinds.values import Typed, Wrong, asked_again, ends, taken_with_unit, typed_value, unusual_in
from clampbook.run.plan import Plan
from clampbook.run.progress import FINISHED, Progress, standing
from clampbook.run.prompts import Choice, Prompt, Turn
from clampbook.run.session import Session
from clampbook.run.told.marks import MARKS as OUTCOME_MARKS
from clampbook.run.told.marks import marked
from clampbook.run.told.places import position_of, pulled_at, tightened, where
from clampbook.run.told.torques import stroke, window_line
from clampbook.run.told.words import Band, Facts, Field, Figure, Words, window_in
from clampbook.text import started
from clampbook.tools.aim import tightening
from clampbook.tools.model import Tool
from clampbook.units import Kind, Quantity, show

_NO_NUMBER = OUTCOME_MARKS["confirmed"]
_LEAST_BY_MARKS = Decimal(2)


def plan(stage: Stage, _: str) -> Planned:
    """At each position, in degrees."""
    return Planned("each", stage.target, stage.window, "°")


def ask(session: Session, index: int, stage: Stage) -> Prompt:
    """A turn: its remainder from the same mark, or the torque that is read at its end."""
    plan, progress = session.plan, session.progress
    step = plan.steps[index]
    state = standing(progress, step.position or "")
    if state.awaiting == "final torque" and stage.final_torque is not None:
        return beside.torque(session, index, "Torque at the end of the turn", "final torque")
    place = where(plan, progress, index)
    tool = MARKS
    if stage.judged_by != "mark":
        ready = ready_gauge(session, index, place)
        if not isinstance(ready, Tool):
            return ready
        tool = ready
    window = step.window or (None, None)
    done = turned_so_far(state.fastener, index) or Decimal(0)
    low, high = window
    return Turn(
        where=place,
        tool=tool,
        by_marks=tool.kind == "marks",
        target=stage.target,
        window=window,
        done=done,
        left=(None if low is None else low - done, None if high is None else high - done),
        in_strokes=stage.in_strokes,
        due=pulls.due(session, state, step),
        together=pulls.together(plan, progress, index, stage.together),
        finished_before=progress.found == FINISHED,
    )


def keys(prompt: Turn) -> Keys:
    """The angle that a gauge shows; or that the marks meet."""
    if prompt.by_marks:
        return Keys((Choice("+", "at the mark", "at_mark", Plus()), pulls.BAD))
    return Keys((pulls.BAD,), types="number", wanted=f"{prompt.tool.name}'s angle in degrees")


def words(prompt: Turn) -> Words:
    """Show how far, from which mark, and how much of it is done."""
    lines = [window_line(prompt.window, "°")]
    if prompt.done:
        lines.append(f"turned so far {show(prompt.done, '°')}")
    lines += [*pulls.due_line(prompt.due), *pulls.estimate(prompt.where)]
    together = pulls.together_line(prompt.together, prompt.where)
    left_hand = prompt.where.left_hand
    return Words(
        f"{pulled_at(prompt.where)}: {_what(prompt)}",
        (*lines, *together),
        hand=_hand(prompt),
        position=pulls.position(prompt.where),
        about=prompt.together,
        field=None if prompt.by_marks else Field("this stroke" if prompt.done else "angle", "°"),
        until=pulls.until(prompt.due),
        band=None if prompt.by_marks else Band(*prompt.window, "°", prompt.target),
        picture=True,
        terms=("window", "remainder"),
        facts=Facts(
            target=Quantity(prompt.target, "°"),
            window=window_in(prompt.window, "°"),
            turned=Quantity(prompt.done, "°") if prompt.done else None,
            unit=None if prompt.by_marks else "°",
            tool=prompt.tool.id,
            left_hand=left_hand,
            direction=tightening(left_hand),
        ),
    )


def _hand(prompt: Turn) -> Figure:
    """Show how far from the mark; or what is left of it."""
    low, high = prompt.left
    if not prompt.done or low is None or high is None:
        return Figure(f"{plain(prompt.target)}°", "", "turn by")
    return Figure(f"{plain(low)}–{plain(high)}", "", "turn more", "degrees")


def _what(prompt: Turn) -> str:
    """Say how far it is turned, and what is typed of it."""
    name, around = prompt.tool.name, tightened(prompt.where)
    by = show(prompt.target, "°")
    if prompt.finished_before:
        shown = f"type what {name} showed{' of the last stroke' if prompt.done else ''}."
        return "was it turned to its mark?" if prompt.by_marks else shown
    if prompt.by_marks:
        return (
            f"turn {_remainder(prompt)} more{around}, to its mark."
            if prompt.done
            else f"turn {by}{around} by the mark."
        )
    if prompt.done:
        return f"turn {_remainder(prompt)} more{around} from the same mark. Type this stroke."
    if prompt.in_strokes:
        return f"turn {by}{around} in strokes. Type {name}'s angle after each."
    return f"turn {by}{around}. Type what {name} shows."


def _remainder(prompt: Turn) -> str:
    """Tell what is left of a turn: "2° to 6°"."""
    low, high = prompt.left
    if low is not None and high is not None:
        return f"{show(low, '°')} to {show(high, '°')}" if low != high else f"exactly {show(low, '°')}"
    return units.show_window(low, high, "°")


def complete(prompt: Turn, session: Session, begun: Answer, draft: Draft) -> Part | Refused | Answer:
    """After an unusual value that it does not settle by itself, its unit is asked for."""
    return taken_with_unit(prompt, session, begun, draft, Kind.ANGLE, decide)


def decide(session: Session, prompt: Turn, answer: Answer, stamp: Stamp) -> Outcome:
    """A stroke of a turn: typed from a gauge, or one key where the marks meet."""
    step = session.plan.steps[session.plan.index_of[prompt.where.id]]
    noted = pulls.past_limit(session, stamp, step)
    match answer:
        case Plus() if prompt.by_marks:
            hurried = pulls.too_soon(session, stamp, _LEAST_BY_MARKS, "it is at the mark")
            if hurried and not prompt.finished_before:
                return Refused(hurried)
            return Accepted(_turned(session, prompt, stamp, noted, None))
        case Value() if prompt.by_marks:
            return Refused("A turn by the mark has no number. Press + when it is at the mark.")
        case Value(text=text):
            read = typed_value(
                text, Kind.ANGLE, "°", "°", prompt.left, with_unit=session.unusual_at(prompt.where.id) is not None
            )
            if isinstance(read, Wrong):
                return Refused(read.sentence)
            unusual = unusual_in(read, prompt.target, prompt.window, Kind.ANGLE)
            whole = prompt.done == 0 and not prompt.in_strokes
            unsure = asked_again(session, prompt.where.id, read, unusual if whole else None, None)
            if unsure is not None:
                return unsure
            return Accepted(_turned(session, prompt, stamp, noted, read))
        case _:
            return Refused(f"Type what {prompt.tool.name} shows, in degrees.")


def _turned(session: Session, prompt: Turn, stamp: Stamp, noted: tuple[str, ...], read: Typed | None) -> e.Turned:
    total = None if read is None else prompt.done + read.exact
    return e.Turned(
        **common(session, stamp, prompt, *noted),
        step=prompt.where.id,
        attempt=prompt.where.attempt,
        tool=prompt.tool.id,
        typed=None if read is None else read.text,
        value=None if read is None else units.plain(read.exact),
        sum=None if total is None else units.plain(total),
        window=ends(prompt.window),
        verdict="within" if total is None else judge(total, prompt.window),
        unusual=session.unusual_at(prompt.where.id),
    )


def fold(plan: Plan, progress: Progress, event: e.Turned) -> Progress:
    """A stroke of a turn: short asks for the remainder, beyond is asked, and a last torque may still be wanted."""
    index = plan.index_of[event.step]
    step = plan.steps[index]
    position = step.position or ""
    before = standing(progress, position)
    total = None if event.sum is None else Decimal(event.sum)
    last = None if event.value is None else Decimal(event.value)
    fastener = turn(before.fastener, index, total, last)
    if event.verdict == "over":
        fastener = told_over(fastener, event.seq, index, f"{event.sum}°")
    state = pulled(before, index, event.seq, "turn", fastener)
    progress = replace(worked(progress, event, event.step), ask_state=left_unsaid(plan, progress, event.step))
    if event.verdict == "over":
        progress = settle(plan, progress, index, state, "over", finished=False)
        progress = question(progress, event, "over", index, position, f"{event.sum}°")
        return after_limit(plan, progress, event, index)
    progress = turn_settled(plan, progress, index, state, event.verdict, by_marks=event.value is None)
    return after_limit(plan, progress, event, index)


def acts(line: Line, event: e.Turned) -> tuple[Act, ...]:
    """A stroke, judged by all of the turn so far."""
    told = judged(event.verdict, event.window, event.sum, DEGREES)
    if event.value is None and event.verdict == "within":
        told["outcome"] = BY_THE_MARK
    unit = None if event.value is None else DEGREES
    return (line.act("turn", event.step, tool=event.tool, angle=event.value, unit=unit, **told),)


def tell(event: e.Turned, plan: Plan, _: Tools) -> str:
    """The stroke, and all of the turn where that is more."""
    here = position_of(event.step, plan)
    if event.sum is None:
        return f"By the mark {_NO_NUMBER}: {here}. No angle measured."
    short = still_turning(plan, plan.index_of[event.step], event.verdict)
    word = "turned so far" if short else marked(event.verdict)
    return f"{started(word)}: {here}, {stroke(event.value, event.sum)}."


def paper(stage: Stage, _: str) -> Paper:
    """By how many degrees, and the torque that it bears at the end."""
    last = stage.final_torque
    limits = (f"window {in_both_units(stage.window)}", *((f"last torque {in_both_units(last)}",) if last else ()))
    wants = f"Turn by {show(stage.target, '°')}"
    in_strokes = "turn in strokes from the mark. Write each stroke and what they come to"
    does = in_strokes if stage.in_strokes else "turn from the mark in one go. Write the angle"
    ended = (Column("Last torque", wide=18),) if last else ()
    with_what = ("Angle gauge", *(("Torque tool",) if last else ()))
    if stage.judged_by == "mark":
        by_mark = (Column("By the mark", "□", 20),)
        return Paper(wants, limits, "turn by the mark", with_what[1:], by_mark, ended)
    return Paper(wants, limits, does, with_what, (Column("Angle", wide=24),), ended)
