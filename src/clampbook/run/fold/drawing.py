"""Failures in a sample: which lines are one, and how the walk comes to what is added."""

from __future__ import annotations

from msgspec.structs import replace

from clampbook.run import events as e
from clampbook.run.fold.passes import FIRST_MOVEMENT, FOUND_UNDER, LOOSE, MOVED
from clampbook.run.fold.pulls import THIRD_UNDER
from clampbook.run.fold.sampling import after_failure
from clampbook.run.plan import Plan, Step
from clampbook.run.progress import SPREAD, TOO_MANY, Frame, Progress, Why, standing

# Causes of a decision that find fault with a bolt of the sample, and what is chosen where it is looked at once more.
_FAILS: frozenset[Why] = frozenset(
    {
        "not as expected",
        "outside",
        SPREAD,
        TOO_MANY,
        "over",
        MOVED,
        LOOSE,
        FOUND_UNDER,
        THIRD_UNDER,
        "broken",
        "stripped",
        "never reaches the torque",
    }
)
_LOOKED_AT_AGAIN = frozenset({"look again", "measure again", "measure all points again", "another tool"})


def grown(plan: Plan, progress: Progress, event: e.Event) -> Progress:
    """The state before a line is folded, its sample larger where the line tells of a failure in it.

    What is added comes next in its stage. A bolt that is started over once others are further draws nothing.
    """
    found = _failure(plan, progress, event)
    if found is None:
        return progress
    step, failed = found
    sample = progress.samples.get(step.stage)
    if sample is None or (larger := after_failure(sample, failed)) is sample:
        return progress
    added = larger.chosen - sample.chosen
    first, last = plan.run_of[plan.index_of[step.id]]
    for place in range(len(progress.frames) - 1, -1, -1):
        frame = progress.frames[place]
        if _comes_to(plan, progress, frame, added, first, last):
            back = min(frame.next, first)
            again = replace(frame, next=back, done=max(frame.done - (frame.next - back), 0))
            frames = (*progress.frames[:place], again, *progress.frames[place + 1 :])
            return replace(progress, samples=progress.samples.insert(step.stage, larger), frames=frames)
    return progress


def _failure(plan: Plan, progress: Progress, event: e.Event) -> tuple[Step, tuple[str, ...]] | None:
    """The step of a line that tells of a failure, and the positions that failed; None where it tells of none."""
    positions: tuple[str, ...] = ()
    if isinstance(event, e.Rechecked):
        moved = bool(event.moved) and event.method != FIRST_MOVEMENT
        name, failed = event.step, moved or event.verdict in ("under", "over")
    elif isinstance(event, e.Corrected) and event.step is not None:
        name, failed = event.step, event.what == "recheck" and event.verdict in ("under", "over")
    elif isinstance(event, e.Decided) and event.step is not None:
        name, failed = event.step, event.cause in _FAILS and event.choice not in _LOOKED_AT_AGAIN
        about = (each for each in progress.questions if (each.about, each.cause) == (event.about, event.cause))
        asked = next(about, None)
        positions = asked.positions if asked is not None else ()
        positions = positions or ((event.position,) if event.position is not None else ())
    else:
        return None
    step = plan.steps[plan.index_of[name]]
    positions = positions or (() if step.position is None else (step.position,))
    return (step, positions) if failed else None


def _comes_to(plan: Plan, progress: Progress, frame: Frame, added: frozenset[str], first: int, last: int) -> bool:
    """True where going back in this frame asks for what was added, and for nothing that is behind."""
    whole = frame.positions is None or added <= frame.positions
    if not whole or not (frame.first <= first and last <= frame.last):
        return False
    further = any(standing(progress, each).through >= first for each in added)
    gates = any(plan.steps[index].position is None for index in range(last + 1, min(frame.next, len(plan.steps))))
    return not further and not gates
