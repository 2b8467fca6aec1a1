"""The rules of the work in one box: what decides when something goes wrong, in the words of the walk."""

from __future__ import annotations

from collections.abc import Iterator

from clampbook.procedure.model import AfterBadPull, Align, Group, Measure, Recheck, Scope, Stage, Tighten, Turn
from clampbook.record.form.blocks import Section
from clampbook.record.form.outside import outside
from clampbook.run.fold.counts import ONE_USE
from clampbook.run.plan import Plan

_REACH: dict[Scope, str] = {
    "fastener": "only this one",
    "neighbours": "with its neighbours",
    "group": "the whole group",
    "joint": "the whole joint, with new consumables",
}
_BAD: dict[AfterBadPull, str] = {
    "ask": "decide whether to pull again or to start over",
    "pull again": "pull again",
    "from the beginning": "start over",
}


def rules(plan: Plan) -> Section:
    """Give the box; it says only what this work can meet."""
    return Section("What decides", "write it under deviations, with its time", tuple(_rules(plan)), framed=True)


def _rules(plan: Plan) -> Iterator[str]:
    stages = [plan.stages[number - 1] for number in dict.fromkeys(step.stage for step in plan.steps)]
    at_work = {name: group for name, (group, *_) in plan.alike.items() if _worked(plan, name, stages)}
    click = " For a click draw ○. A click is not a reading." if _any(stages, Tighten, Recheck) else ""
    yield f"Write a number only where the tool showed one.{click} A row’s own time: write @9:14 beside it."
    if _any(stages, Tighten):
        yield "Under its window: pull on, up to the target, and write each pull. Under after three pulls: decide."
    pulled = bool(at_work) and _any(stages, Tighten, Turn, Align, Recheck)
    if pulled:
        yield "Over its window: never pull further, never back off to a lower reading. Loosen fully, then start over."
    if pulled or any(isinstance(stage, Measure) and stage.tensions for stage in stages):
        yield from _started_over(at_work)
    if pulled:
        bad = _each({name: _BAD[group.after_bad_pull] for name, group in at_work.items()})
        yield f"Bad pull (jerk, slipped socket, stopped midway): cross it out and write ×, then {bad}."
    yield from _moved(plan, [stage for stage in stages if isinstance(stage, Recheck)])
    yield from outside(plan, [stage for stage in stages if isinstance(stage, Measure)])
    yield "To accept something as it is takes another person than who did the work: name, time and reason."


def _any(stages: list[Stage], *kinds: type[Stage]) -> bool:
    return any(isinstance(stage, kinds) for stage in stages)


def _worked(plan: Plan, name: str, stages: list[Stage]) -> bool:
    names = {group.name for group in plan.alike[name]}
    return any(stage.group in names for stage in stages)


def _started_over(groups: dict[str, Group]) -> Iterator[str]:
    reach = _each({name: _REACH[group.start_over] for name, group in groups.items()})
    yield f"Start over, from the first stage: {reach}."
    once = [name for name, group in groups.items() if group.fastener == ONE_USE]
    if once:
        yield f"{' and '.join(once)}: start over with new ones. They are one-use."
    for name, group in groups.items():
        if group.tightenings_at_most is not None:
            yield f"{name}: {group.tightenings_at_most} × tightened at most."


def _each(words: dict[str, str]) -> str:
    """Say what holds for every group once, else each with its group."""
    named = {said: [name for name in words if words[name] == said] for said in dict.fromkeys(words.values())}
    if len(named) == 1:
        return next(iter(named))
    return ", ".join(f"{said} ({', '.join(names)})" for said, names in named.items())


def _moved(plan: Plan, rechecks: list[Recheck]) -> Iterator[str]:
    """Say what follows where something moved, by the way in which it is rechecked."""
    again = "redo the joint" if plan.follow_up is not None else "start over"
    watched = [each for each in rechecks if each.method == "tighten on"]
    if any(each.until_still for each in rechecks) and plan.follow_up is None:
        yield "Moved at a recheck: recheck all once more, until none moves. Still moving after the last round: decide."
    elif watched and plan.follow_up is not None:
        yield "Moved at a recheck: another person accepts it, or redo the joint."
    elif watched:
        yield "Moved at a recheck: the pull has tightened it. Write it as moved."
    if any(each.back_off is not None for each in rechecks):
        yield f"Short of its mark or past it: {again}, or another person accepts it."
    if any(each.method == "first movement" and each.window is not None for each in rechecks):
        yield f"Moved under its window: {again}, or another person accepts it."
