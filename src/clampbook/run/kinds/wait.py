"""Waiting: time passes, counted from the last pull, from the end of a stage, or from a beginning of its own."""

from __future__ import annotations

from decimal import Decimal
from typing import assert_never

from msgspec.structs import replace

from clampbook import text as foreign
from clampbook import units
from clampbook.ledger.stamp import Stamp, clock_there
from clampbook.procedure.model import Wait as Stage
from clampbook.run import events as e
from clampbook.run.answers import Accepted, Answer, GoOnEarly, Plus, Refused
from clampbook.run.fold.acts import Act
from clampbook.run.fold.frames import pass_gate
from clampbook.run.fold.line import Line
from clampbook.run.fold.tools import zero_again
from clampbook.run.gather.asking import reason
from clampbook.run.gather.draft import Draft, Part
from clampbook.run.gather.keys import Keys
from clampbook.run.kinds.kind import Outcome, Paper, Planned, Tools
from clampbook.run.kinds.stamping import common
from clampbook.run.plan import Plan
from clampbook.run.progress import Progress
from clampbook.run.prompts import Choice, Wait
from clampbook.run.session import Session, seconds_between
from clampbook.run.session import moment as moment_of
from clampbook.run.told.places import where
from clampbook.run.told.words import Facts, Until, Words

_ITS_START = "its start"
_SHORT = 300  # seconds; a minute on the clock is much of less


def plan(stage: Stage, _: str) -> Planned:
    """A gate: nobody waits at each position."""
    del stage
    return Planned("gate")


def ask(session: Session, index: int, stage: Stage) -> Wait:
    """Since when, for how long, and what that counts from."""
    plan, progress = session.plan, session.progress
    step = plan.steps[index]
    since, named = (None, _ITS_START) if plan.late else _counted_from(plan, progress, stage)
    if since is None:  # nothing that it could count from was done, so it is begun by hand
        since, named = progress.begun.get(step.id), _ITS_START
    return Wait(where(plan, progress, index), since, stage.lasts, stage.as_written, named, progress.offset)


def _counted_from(plan: Plan, progress: Progress, stage: Stage) -> tuple[str | None, str]:
    """The moment from which a wait counts, None where it has not come, and what that is. A wait for all joints counts
    from the one that was last at it, also where that one was done again."""
    match stage.since:
        case None:
            return None, _ITS_START
        case "last pull":
            return progress.last_pull, "the last pull"
        case other:
            numbers = plan.numbers_of(other, stage.number)
            ends = [end for number in numbers if (end := progress.ended_at.get(number)) is not None]
            at_all = " at all joints" if len(numbers) > 1 else ""
            return max(ends, key=moment_of, default=None), f"the end of {other}{at_all}"


def keys(prompt: Wait) -> Keys:
    """It is begun, or over, or cut short."""
    if prompt.since is None:
        return Keys((Choice("+", "start", "start", Plus()),))
    early = Choice("2", "go on early", "go_on_early", GoOnEarly(""))
    return Keys((Choice("+", "time is up", "time_is_up", Plus()), early))


def words(prompt: Wait) -> Words:
    """Show how long, counted from what; and on the clock."""
    return Words(
        _sentence(prompt),
        (),
        until=None if prompt.since is None else Until(prompt.since, prompt.lasts),
        picture=True,
        facts=Facts(since=prompt.since, lasts=prompt.lasts),
    )


def _sentence(prompt: Wait) -> str:
    """ "Wait 10 min after the last pull, until 14:25", a short one to the second; a clock that shows no time is left
    out."""
    if prompt.since is None:
        return f"Wait {prompt.as_written}. Press + to start."
    over = clock_there(prompt.since, prompt.offset, float(prompt.lasts), seconds=prompt.lasts < _SHORT)
    after = "" if prompt.counted_from == _ITS_START else f" after {prompt.counted_from}"
    return f"Wait {prompt.as_written}{after}{'' if over is None else f', until {over}'}."


def complete(prompt: Wait, session: Session, begun: Answer, draft: Draft) -> Part | Refused | Answer:
    """To go on early wants a reason."""
    del prompt, session
    if not isinstance(begun, GoOnEarly):
        return begun
    if not draft.has("reason"):
        return reason("early", "Why go on early?")
    return GoOnEarly(draft.text("reason"))


def decide(session: Session, prompt: Wait, answer: Answer, stamp: Stamp) -> Outcome:
    """Begun, over, or cut short with a reason."""
    if prompt.since is None:
        if isinstance(answer, Plus):
            return Accepted(e.WaitBegun(**common(session, stamp, prompt), step=prompt.where.id))
        return Refused("Press + to start the wait.")
    passed = seconds_between(prompt.since, stamp.at)
    match answer:
        case Plus() if passed < 0:
            return Refused(
                "The clock was set back since then, so the wait cannot be timed. Go on early, with a reason."
            )
        case Plus() if passed < prompt.lasts:
            return Refused(_not_over(prompt, prompt.lasts - passed))
        case Plus():
            lasts = units.plain(prompt.lasts)
            at = common(session, stamp, prompt)
            return Accepted(e.Waited(**at, step=prompt.where.id, since=prompt.since, lasts=lasts))
        case GoOnEarly(reason=why) if why.strip():
            return Accepted(_cut_short(session, prompt, why, stamp))
        case _:
            return Refused("Press + when time is up. Going on early needs a reason.")


def _not_over(prompt: Wait, left: Decimal) -> str:
    """Say until when, to the second: that holds for as long as it stands there. How much is left where no clock shows
    a time."""
    over = None if prompt.since is None else clock_there(prompt.since, prompt.offset, float(prompt.lasts), seconds=True)
    return f"Wait {units.show_duration(_whole(left))} more." if over is None else f"Wait until {over}."


def _cut_short(session: Session, prompt: Wait, why: str, stamp: Stamp) -> e.Decided:
    return e.Decided(
        **common(session, stamp, prompt),
        about=0,
        cause="wait",
        choice="go on early",
        step=prompt.where.id,
        reason=foreign.clean(why, what="the reason"),
    )


def _whole(seconds: Decimal) -> Decimal:
    return Decimal(int(seconds) + (1 if seconds > int(seconds) else 0))


def fold(plan: Plan, progress: Progress, event: e.WaitBegun | e.Waited) -> Progress:
    """It runs; or it is over, and after one longer than a pause may be, zero is looked at again."""
    match event:
        case e.WaitBegun():
            stage = plan.stage_of(plan.steps[plan.index_of[event.step]])
            counted = _counted_from(plan, progress, stage)[0] if event.blank and isinstance(stage, Stage) else None
            return replace(progress, begun=progress.begun.insert(event.step, counted or event.at))
        case e.Waited():
            passed = pass_gate(plan, progress)
            return zero_again(plan, passed) if Decimal(event.lasts) > plan.pause_limit else passed
        case _ as never:
            assert_never(never)


def acts(line: Line, event: e.WaitBegun | e.Waited) -> tuple[Act, ...]:
    """A wait that has only begun is no act yet."""
    return (line.act("wait", event.step, "waited"),) if isinstance(event, e.Waited) else ()


def tell(event: e.WaitBegun | e.Waited, plan: Plan, _: Tools) -> str:
    """That it runs, or for how long it ran."""
    del plan
    match event:
        case e.WaitBegun():
            return "Wait started."
        case e.Waited(lasts=lasts, since=since, at=at) if (passed := seconds_between(since, moment_of(at))) < Decimal(
            lasts
        ):
            of = units.show_duration(Decimal(lasts))
            return f"Waited {units.show_duration(_whole(passed))} of {of}, cut short."
        case e.Waited(lasts=lasts):
            return f"Waited {units.show_duration(Decimal(lasts))}."
        case _ as never:
            assert_never(never)


def paper(stage: Stage, _: str) -> Paper:
    """Write on the form how long, and from when."""
    since = (f"from {moment(stage.since)}",) if stage.since else ()
    return Paper(f"Wait {stage.as_written}", since, columns=())


def moment(since: str | None) -> str:
    """Say what a wait is counted from: the last pull, the end of an earlier stage by its id, or its own beginning."""
    match since:
        case None:
            return "its own start"
        case "last pull":
            return "the last pull"
        case stage:
            return f"the end of stage {stage}"
