"""Honest answers when something else happened: bad pulls, another position, set aside, broken, corrections."""

from __future__ import annotations

from decimal import Decimal

from clampbook import text as foreign
from clampbook import units
from clampbook.procedure.model import Measure, Recheck, Tighten, Turn
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.answers import Accepted, Refused, Unsure
from clampbook.run.deciding import pulls
from clampbook.run.deciding.sheet import checked_answer
from clampbook.run.deciding.stamping import common
from clampbook.run.deciding.values import Wrong, ends, kept, rounded, typed_value
from clampbook.run.places import where
from clampbook.run.plan import Step
from clampbook.run.progress import standing
from clampbook.run.prompting import figures, prompt_at, taken_off
from clampbook.run.session import Session, Stamp
from clampbook.run.verdict import judge
from clampbook.units import Kind

Outcome = Accepted | Unsure | Refused
NO_PULL = "No pull is asked for here."


def _pull(prompt: ask.Prompt) -> ask.Tighten | ask.Turn | ask.Recheck | None:
    match prompt:
        case ask.Tighten() | ask.Turn() | ask.Recheck():
            return prompt
        case ask.Confirm(pull=pull):
            return pull
        case _:
            return None


def bad_pull(session: Session, prompt: ask.Prompt, answer: a.BadPull, stamp: Stamp) -> Outcome:
    """The pull just made was no good; it was not stored, a value may be added."""
    pull = _pull(prompt)
    if pull is None:
        return Refused(f"{NO_PULL} A stored pull is voided from the menu (*).")
    value = foreign.clean(answer.value, what="the value", most=40) if answer.value else None
    return Accepted(
        e.Voided(
            **common(session, stamp, prompt),
            step=pull.where.id,
            attempt=pull.where.attempt,
            of=None,
            cause=foreign.clean(answer.cause, what="the cause", most=80),
            value=value,
        )
    )


def void_stored(session: Session, prompt: ask.Prompt, answer: a.VoidStored, stamp: Stamp) -> Outcome:
    """A stored pull was a bad one after all: it must be the latest of its position."""
    found = _line(session, answer.of)
    if isinstance(found, Refused):
        return found
    line, step, what = found
    if step is None or what not in ("reading", "release", "turn"):
        return Refused("Only a pull can be voided, and only the latest of its position; an older line can be noted.")
    if session.progress.aside.get(step.position or "") is not None:
        return Refused(f"Position {step.position} is set aside; it is asked about before this round ends.")
    return Accepted(
        e.Voided(
            **common(session, stamp, prompt),
            step=step.id,
            attempt=standing(session.progress, step.position or "").attempt,
            of=line,
            cause=foreign.clean(answer.cause, what="the cause", most=80) or "bad pull",
        )
    )


def _line(session: Session, of: int | None) -> tuple[int, Step | None, str | None] | Refused:
    """The line that is meant, its step, and what it holds; only the latest of a position, gate or question can be."""
    plan, progress = session.plan, session.progress
    line = of if of is not None else progress.last_answer
    if line == 0:
        return Refused("Nothing was typed yet that could be corrected.")
    if line == progress.last_answer and progress.last_answer_item is not None:
        return line, None, "item"
    if line == progress.last_answer and progress.last_answer_step is not None:
        step = plan.steps[plan.index_of[progress.last_answer_step]]
        if step.position is None:
            return line, step, "measure"
        state = standing(progress, step.position)
        if state.latest == line:
            return line, plan.steps[state.latest_step], state.latest_what
    for state in progress.positions.values():
        if state.latest == line and state.latest_step >= 0:
            return line, plan.steps[state.latest_step], state.latest_what
    for name, gate in progress.gates.items():
        if gate.latest == line:
            return line, plan.steps[plan.index_of[name]], "measure"
    for item, seq in progress.items.items():
        if seq == line and item.startswith(("ask:", "part:", "left over:")):
            return line, None, "item"
    return Refused(
        f"Line {line} can't be changed any more: it is not the latest of its position. Write a note about it."
    )


def another(session: Session, prompt: ask.Prompt, answer: a.PulledAnother, stamp: Stamp) -> Outcome:
    """Another position was pulled: stored at its own step where that was its next one, else it is asked about."""
    pull = _pull(prompt)
    if pull is None or isinstance(pull, ask.Recheck):
        return Refused(NO_PULL)
    plan, progress = session.plan, session.progress
    position = answer.position
    if position not in plan.group_of:
        return Refused(f"There is no position {foreign.printable(position)} in this joint.")
    if position not in plan.steps_of:
        return Refused(f"Position {position} has no step in this run: write a note (/) that it was pulled.")
    if position == pull.where.position:
        return Refused(f"{position} is the position that is asked for: answer it as usual.")
    here = plan.steps[plan.index_of[pull.where.id]]
    own = [index for index in plan.steps_of.get(position, ()) if _same_round(plan.steps[index], here)]
    state = standing(progress, position)
    following = next((index for index in plan.steps_of.get(position, ()) if index > state.through), None)
    if own and following == own[0] and position not in progress.aside:
        moved = prompt_at(session, own[0])
        if isinstance(moved, ask.Tighten | ask.Turn):
            return _as_usual(session, moved, answer, stamp)
    stage = plan.stage_of(here)
    if own and isinstance(stage, Tighten) and stage.may_repull and state.through >= own[0]:
        return _pulled_again(session, prompt, pull, plan.steps[own[0]], answer, stamp)
    index = following if following is not None else plan.steps_of[position][-1]
    cause = "pulled again" if own and state.through >= own[0] else "pulled out of turn"
    value = foreign.clean(answer.text, what="the value", most=40) if answer.text else None
    return Accepted(
        e.Voided(
            **common(session, stamp, prompt),
            step=plan.steps[index].id,
            attempt=state.attempt,
            of=None,
            cause=cause,
            value=value,
        )
    )


def _same_round(step: Step, here: Step) -> bool:
    return (step.stage, step.round) == (here.stage, here.round)


def _as_usual(session: Session, moved: ask.Tighten | ask.Turn, answer: a.PulledAnother, stamp: Stamp) -> Outcome:
    given: a.Answer = a.Plus() if answer.text is None else a.Value(answer.text)
    if isinstance(moved, ask.Turn):
        return pulls.turn(session, moved, given, stamp)
    return pulls.tighten(session, moved, given, stamp)


def _pulled_again(
    session: Session,
    prompt: ask.Prompt,
    pull: ask.Tighten | ask.Turn,
    step: Step,
    answer: a.PulledAnother,
    stamp: Stamp,
) -> Outcome:
    """A completed position was pulled again where the stage allows it: kept as a recheck, which changes nothing."""
    read = None
    if answer.text is not None:
        found = typed_value(
            answer.text, Kind.TORQUE, pull.tool.unit, session.plan.unit, step.window or (None, None), with_unit=False
        )
        if isinstance(found, Wrong):
            return Refused(found.sentence)
        read = found
    return Accepted(
        e.Rechecked(
            **common(session, stamp, prompt, "pulled again"),
            step=step.id,
            attempt=standing(session.progress, step.position or "").attempt,
            pass_no=0,
            moved=False,
            method="tighten on",
            tool=pull.tool.id,
            typed=None if read is None else read.text,
            value=None if read is None else units.plain(read.value),
            unit=None if read is None else read.unit,
            at_fastener=None if read is None else rounded(read.exact),
        )
    )


def leave_for_later(session: Session, prompt: ask.Prompt, answer: a.LeaveForLater, stamp: Stamp) -> Outcome:
    """The position at hand is set aside until its round ends."""
    place = getattr(prompt, "where", None)
    top = session.progress.frames[-1]
    if not isinstance(place, ask.Where) or place.position is None or top.prologue:
        return Refused("There is no position at hand that could be set aside; hold the run instead.")
    if isinstance(prompt, ask.Decide | ask.StepState) or place.position not in session.plan.group_of:
        return Refused("Decide this first.")
    reason = foreign.clean(answer.reason, what="the reason")
    if not reason:
        return Refused("Say why it is set aside.")
    return Accepted(e.SetAside(**common(session, stamp, prompt), step=place.id, position=place.position, reason=reason))


def broke(session: Session, prompt: ask.Prompt, answer: a.Broke, stamp: Stamp) -> Outcome:
    """The fastener at hand is lost: the sequence freezes."""
    place = getattr(prompt, "where", None)
    if (
        not isinstance(place, ask.Where)
        or place.position not in session.plan.group_of
        or isinstance(prompt, ask.Decide)
    ):
        return Refused("There is no fastener at hand; answer this first, or write a note (/).")
    reached = foreign.clean(answer.reached, what="what was reached", most=60) if answer.reached else None
    return Accepted(
        e.Broken(
            **common(session, stamp, prompt),
            step=place.id,
            position=place.position or "",
            attempt=place.attempt,
            how=answer.how,
            reached=reached or None,
        )
    )


def correct(session: Session, prompt: ask.Prompt, answer: a.Correct, stamp: Stamp) -> Outcome:
    """A mistyped value is put right, with how it is known."""
    found = _line(session, answer.of)
    if isinstance(found, Refused):
        return found
    line, step, what = found
    if step is None:
        return _item(session, prompt, answer, line, stamp)
    if what not in ("reading", "run-down", "turn", "final torque", "stretch", "measure", "recheck"):
        return Refused("That line holds nothing typed; a bad pull is voided instead.")
    return _value(session, prompt, answer, line, step, what, stamp)


def _item(session: Session, prompt: ask.Prompt, answer: a.Correct, line: int, stamp: Stamp) -> Outcome:
    item = next((name for name, seq in session.progress.items.items() if seq == line), None)
    clean = foreign.clean(answer.text, what="the answer", most=200)
    if item is None or not clean:
        return Refused("Type the corrected answer.")
    question = next((each for each in session.plan.asks if item == f"ask:{each.name}"), None)
    value, unit = clean, None
    if question is not None:
        checked = checked_answer(question, clean)
        if isinstance(checked, str):
            return Refused(checked)
        clean, value, unit = checked
    return Accepted(
        e.Corrected(
            **common(session, stamp, prompt),
            of=line,
            step=None,
            attempt=1,
            typed=clean,
            value=value,
            unit=unit,
            at_fastener=None,
            window=None,
            verdict=None,
            what="item",
            known=answer.known,
            item=item,
        )
    )


def _value(
    session: Session, prompt: ask.Prompt, answer: a.Correct, line: int, step: Step, what: str, stamp: Stamp
) -> Outcome:
    plan, progress = session.plan, session.progress
    state = standing(progress, step.position or "")
    stage = plan.stage_of(step)
    sheet_unit, kind, window, off = plan.unit, Kind.TORQUE, figures(plan, state, step)[1], Decimal(0)
    match what, stage:
        case "turn", Turn():
            sheet_unit, kind = "°", Kind.ANGLE
            off = (state.stroke or Decimal(0)) - (state.turned or Decimal(0))
            window = step.window or (None, None)
        case "measure", Measure():
            sheet_unit, kind, window = stage.unit, units.kind_of(stage.unit), step.window or (None, None)
            off = taken_off(session, step) or Decimal(0)
        case "stretch", Tighten(stretch=stretch) if stretch is not None:
            sheet_unit, kind = stretch.window.unit, units.kind_of(stretch.window.unit)
            window, off = (stretch.window.low, stretch.window.high), taken_off(session, step) or Decimal(0)
        case "final torque", Turn(final_torque=final) if final is not None:
            window = (final.low, final.high)
        case "run-down", _:
            group = plan.group_named[step.group or ""]
            least = group.prevailing.least if group.prevailing else None
            window = (None if least is None else units.convert(least.value, least.unit, plan.unit), None)
        case "recheck", Recheck(window=None):
            window = (None, None)
        case _:
            pass
    shown_in = _shown_in(session, what, sheet_unit)
    raw = typed_value(answer.text, kind, shown_in, sheet_unit, (None, None), with_unit=False)
    if isinstance(raw, Wrong):
        return Refused(raw.sentence)
    result = raw.exact - off
    return Accepted(
        e.Corrected(
            **common(session, stamp, prompt),
            of=line,
            step=step.id,
            attempt=where(plan, progress, plan.index_of[step.id]).attempt,
            typed=raw.text,
            value=kept(raw.exact if what in ("measure", "turn") else raw.value),
            unit=sheet_unit if what in ("measure", "turn") else raw.unit,
            at_fastener=rounded(raw.exact) if kind is Kind.TORQUE else None,
            window=ends(window),
            verdict=judge(result, window),
            what=what,  # type: ignore[arg-type]
            known=answer.known,
            sum=units.plain(result) if what == "turn" else None,
            result=kept(result) if what in ("measure", "stretch", "final torque") else None,
        )
    )


def _shown_in(session: Session, what: str, sheet_unit: str) -> str:
    """The unit of the tool that showed the value."""
    progress = session.progress
    need = {"reading": "torque", "recheck": "torque", "run-down": "reading", "final torque": "reading"}.get(what)
    name = progress.using.get(need) if need else None
    held = progress.hand.get(name) if name else None
    return held.tool.unit if held is not None else sheet_unit
