"""The head of a stage on the form: the whole instruction in words, as the walk gives it bolt by bolt."""

from __future__ import annotations

from collections.abc import Iterator
from typing import assert_never

from clampbook.figures import show, show_window
from clampbook.procedure.both_units import torque
from clampbook.procedure.model import Align, Group, Inspect, Measure, Recheck, Stage, Tighten, Turn, Wait
from clampbook.procedure.naming import within_a_sentence
from clampbook.record.form.blocks import StageHead
from clampbook.record.form.chosen import Taken
from clampbook.record.form.places import MOST_AGAIN, PULL_TO, drawn_by_hand, reads_prevailing, repeats
from clampbook.record.pages import stage_words
from clampbook.run import kinds
from clampbook.run.plan import Plan
from clampbook.text import as_sentence
from clampbook.tools.aim import tightening
from clampbook.tools.measured import demanded
from clampbook.tools.measuring import coarsest


def head(stage: Stage, plan: Plan, taken: Taken, *, for_all: bool = False) -> StageHead:
    """Give the head of a stage; `for_all`: it is that of the same stage at every joint."""
    joint = plan.joint_of_stage.get(stage.number)
    lines = (*_heed(stage), *_how(stage, plan, taken), *_prevailing(stage, plan), *_limits(stage, plan))
    wants, aside = stage_words.wants(stage, plan.unit), stage_words.aside(stage, plan, _of_all(stage, plan))
    if joint is not None and for_all:
        wants = wants.replace(f"{joint.name}: ", "").replace(f"{joint.name} ", "")
        aside = aside.removesuffix(f" · {joint.name}")
    return StageHead(
        text=f"{plan.numbered[stage.number]}  {wants}",
        aside=aside,
        lines=lines,
        mapped=bool(stage.positions),
    )


def _of_all(stage: Stage, plan: Plan) -> str | None:
    """The name of its group as the file has it, where that of one joint stands for all."""
    found = (name for name, groups in plan.alike.items() if any(each.name == stage.group for each in groups))
    return next(found, stage.group)


def _heed(stage: Stage) -> Iterator[str]:
    if stage.caution:
        yield f"□ Caution: {stage.caution}"
    if stage.note:
        yield stage.note


def _how(stage: Stage, plan: Plan, taken: Taken) -> Iterator[str]:
    """Say how it is done: with the tools that were chosen, else with any."""
    found = taken.lines.get(stage.number, ())
    does = kinds.of(stage).paper(stage, plan.unit).does
    if isinstance(stage, Recheck) and "Tool" in taken.boxes.get(stage.number, {}):
        yield from _rechecked(stage, found)
        return
    group = plan.group_named.get(stage.group or "")
    if does and not (found and isinstance(stage, Tighten) and stage.stretch is None):
        way = _way(stage, group)
        yield as_sentence(f"{way}: {does}" if way else does)
    yield from found


def _rechecked(stage: Recheck, found: tuple[str, ...]) -> Iterator[str]:
    """Say what a recheck has beside the pull, which is told with its tool."""
    pull, *more = found
    match stage.method:
        case "tighten on":
            yield f"{pull} Watch for movement."
        case "back off and tighten again":
            yield f"Mark it, back it off without a torque tool. {pull}"
        case "first movement":
            yield f"{pull.removesuffix(' Write its reading.')} Write its reading at first movement."
        case _ as never:
            assert_never(never)
    yield from more


def _way(stage: Stage, group: Group | None) -> str:
    """Name the direction of a pull or a turn, seen from the tool."""
    if not isinstance(stage, Tighten | Turn | Align | Recheck):
        return ""
    return tightening(left_hand=group is not None and group.left_hand)


def _prevailing(stage: Stage, plan: Plan) -> Iterator[str]:
    """Say when the prevailing torque of a locking nut is read, between what it is taken, and whether it is added."""
    group = plan.group_named.get(stage.group or "")
    if group is None or group.prevailing is None or not isinstance(stage, Tighten | Recheck):
        return
    least, most = group.prevailing.least, group.prevailing.most
    if reads_prevailing(stage, plan):
        ends = [
            f"{word} {torque(end.value, end.unit)}" for word, end in (("at least", least), ("at most", most)) if end
        ]
        yield f"Prevailing torque: run each nut down before it seats, and write it{_listed(ends)}."
    both = "target + prevailing torque. The window moves up by as much."
    match group.prevailing.rule:
        case "always":
            yield f"{PULL_TO} {both}"
        case "from a third":
            third = "" if stage.target is None else f" ({show_window(stage.target / 3, None, plan.unit)})"
            large = f"Prevailing torque of a third of the target or more{third}"
            yield f"{large}: {within_a_sentence(PULL_TO)} {both}"
            yield f"Less: {within_a_sentence(PULL_TO)} target."
        case "included":
            yield "The target includes the prevailing torque: add nothing."


def _listed(ends: list[str]) -> str:
    return f": {', '.join(ends)}" if ends else ""


def _limits(stage: Stage, plan: Plan) -> Iterator[str]:
    """Say what else bounds the stage: its sample, rounds until nothing moves, time, what the instrument must show."""
    group = plan.group_named.get(stage.group or "")
    if isinstance(stage, Inspect | Measure | Recheck) and stage.sample is not None:
        some = stage.sample.of(len(stage.positions))
        where = "Write them below" if drawn_by_hand(stage, plan) else "Ring them"
        yield f"The inspector names {some} of {len(stage.positions)} positions before anybody looks. {where}."
    if isinstance(stage, Recheck) and stage.until_still:
        most = f"{repeats(stage, plan)} × at most"
        marked = "Reading or ○ at each. Cross □ where it moved. " if stage.method == "tighten on" else ""
        yield f"{marked}Repeat for all until none moves, {most}."
        if repeats(stage, plan) > MOST_AGAIN:
            yield f"Rounds after the {MOST_AGAIN}th: on a second form."
    if group is not None and group.finish_within is not None and not isinstance(stage, Measure | Inspect | Wait):
        within = show(group.finish_within.value, group.finish_within.unit)
        yield f"Last pull of each within {within} of applying."
    if isinstance(stage, Measure) or (isinstance(stage, Tighten) and stage.stretch is not None):
        yield from _instrument(stage, plan)


def _instrument(stage: Stage, plan: Plan) -> Iterator[str]:
    """Say what the scale of an instrument must show, and how far its lines may lie apart."""
    demand = demanded(plan.stages, stage)
    if demand is None or demand.unit is None:
        return
    shows = [_reaching(show_window(*demand.window, demand.unit))] if demand.window != (None, None) else []
    step = coarsest(demand)
    apart = [f"scale lines {within_a_sentence(show_window(None, step, demand.unit))} apart"] if step else []
    if shows or apart:
        yield f"Instrument: {', '.join((*(f'one that shows {each}' for each in shows), *apart))}."


def _reaching(window: str) -> str:
    """Tell how far a scale must go: the most that is allowed must stand on it, and more may."""
    return f"up to {most}" if (most := window.removeprefix("at most ")) != window else window
