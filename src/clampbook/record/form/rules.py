"""The rules of the work in one box: what decides when something goes wrong, in the words of the walk."""

from __future__ import annotations

from collections.abc import Iterator

from clampbook.procedure.model import AfterBadPull, Align, Group, Measure, Recheck, Scope, Stage, Tighten, Turn
from clampbook.record.form.blocks import Section
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
    yield "Write a number only where the tool showed one. For a click draw ○. A click is not a reading."
    if _any(stages, Tighten):
        yield "Under its window: pull on, up to the target, and write each pull. Under after three pulls: decide."
    if at_work and _any(stages, Tighten, Turn, Align, Recheck):
        yield from _pulled(at_work)
    if any(isinstance(stage, Recheck) for stage in stages):
        yield from _moved(stages)
    if any(isinstance(stage, Measure) and stage.window is not None for stage in stages):
        yield "Measured outside its window: measure again, or go back to an earlier stage."
    yield "To accept something as it is takes another person than who did the work: name, time and reason."


def _any(stages: list[Stage], *kinds: type[Stage]) -> bool:
    return any(isinstance(stage, kinds) for stage in stages)


def _worked(plan: Plan, name: str, stages: list[Stage]) -> bool:
    names = {group.name for group in plan.alike[name]}
    return any(stage.group in names for stage in stages)


def _pulled(groups: dict[str, Group]) -> Iterator[str]:
    yield "Over its window: never pull further, never back off to a lower reading. Loosen fully, then start over."
    reach = _each({name: _REACH[group.start_over] for name, group in groups.items()})
    yield f"Start over, from the first stage: {reach}."
    once = [name for name, group in groups.items() if group.fastener == ONE_USE]
    if once:
        yield f"{' and '.join(once)}: start over with new ones. They are one-use."
    for name, group in groups.items():
        if group.tightenings_at_most is not None:
            yield f"{name}: {group.tightenings_at_most} × tightened at most."
    bad = _each({name: _BAD[group.after_bad_pull] for name, group in groups.items()})
    yield f"Bad pull (jerk, slipped socket, stopped midway): cross it out and write ×, then {bad}."


def _each(words: dict[str, str]) -> str:
    """Say what holds for every group once, else each with its group."""
    named = {said: [name for name in words if words[name] == said] for said in dict.fromkeys(words.values())}
    if len(named) == 1:
        return next(iter(named))
    return ", ".join(f"{said} ({', '.join(names)})" for said, names in named.items())


def _moved(stages: list[Stage]) -> Iterator[str]:
    still = any(isinstance(stage, Recheck) and stage.until_still for stage in stages)
    yield (
        "Moved at a recheck: recheck all once more, until none moves. Still moving after the last round: decide."
        if still
        else "Moved at a recheck: start over, or another person accepts it."
    )
