"""The one sentence that says what to do at a prompt. Values stand in the unit of the tool that the hand holds."""

from __future__ import annotations

from typing import assert_never

from clampbook.run import kinds, signing_off
from clampbook.run.care import before_a_long_pause, to_where
from clampbook.run.fold.pulls import THIRD_UNDER
from clampbook.run.places import bolt, place
from clampbook.run.progress import SPREAD
from clampbook.run.prompts import (
    Decide,
    Ended,
    Finished,
    Prompt,
    ReturnTool,
    SetTool,
    SignOff,
    StartSheet,
    StepState,
    TakeTool,
    Where,
    ZeroTool,
)
from clampbook.run.told.torques import at_mark


def sentence(prompt: Prompt) -> str:
    """What is to be done now, in one sentence that can be read out loud."""
    if isinstance(prompt, kinds.Asked):
        return kinds.of(prompt).words(prompt).sentence
    match prompt:
        case StartSheet():
            return _sheet(prompt)
        case TakeTool() | SetTool() | ZeroTool() | ReturnTool():
            return _tool(prompt)
        case StepState(where=where):
            return f"{place(where)}: how was this left before the break?"
        case Decide():
            return _decide(prompt)
        case SignOff():
            return signing_off.sentence(prompt)
        case Finished(outcome=outcome):
            return f"All is done. Close the run as {outcome}?"
        case Ended():
            return " ".join((ended(prompt.outcome, prompt.reason), *before_a_long_pause(prompt.in_hand)))
        case _ as never:
            assert_never(never)


def ended(outcome: str, why: str | None = None) -> str:
    """How a walk came to its end, or to its end for today."""
    because = f": {why}" if why else ""
    match outcome:
        case "held":
            return f"The run is on hold{because}. It can be taken up again."
        case "paused":
            return "The run is paused. It can be taken up again."
        case "abandoned":
            return f"The run was given up{because}."
        case _:
            return f"The run is closed: {outcome}{because}."


def _sheet(prompt: StartSheet) -> str:
    if prompt.ask is not None:
        return prompt.ask.name if prompt.ask.name.endswith("?") else f"{prompt.ask.name}?"
    part = prompt.part
    if part is not None:
        if prompt.when == "end":
            return f"{part.name}: how many are left over?"
        if part.record == "count":
            return f"{part.name}: how many are there?" + (f" {part.needed} are needed." if part.needed else "")
        return f"{part.name}: at hand?" if part.record == "yes" else f"{part.name}: which {part.record}?"
    if prompt.group is not None:
        return f"{prompt.group}: see that all of this is done."
    return "Read the cautions."


def _tool(prompt: TakeTool | SetTool | ZeroTool | ReturnTool) -> str:
    match prompt:
        case TakeTool(need=need, where=where, offers=offers):
            if all(offer.cannot is not None for offer in offers):
                stuck = "no tool of this book can do that. Write one into tools.toml and take the run up again"
                if prompt.unread is not None:
                    stuck = "the tools of this book cannot be read. Mend tools.toml and take the run up again"
                return f"{place(where)} comes next, but {stuck}, or leave it on hold."
            wanted = {"torque": "torque tool", "reading": "tool that shows the torque", "angle": "angle gauge"}[need]
            return f"{place(where)} comes next: take up a {wanted}." if need != "angle" else _for_the_turn(where)
        case SetTool(aim=aim, finished_before=True):
            return f"{bolt(prompt.where)}: type what the scale of {aim.hand} shows, as it was left."
        case SetTool(aim=aim):
            return f"Set {aim.hand} to {at_mark(aim)}, then type what its scale shows."
        case ZeroTool(tool=tool):
            return f"Look at the zero of {tool.name} with no load on it. Is it good?"
        case ReturnTool(tool=tool, wind_down=wind_down):
            if not wind_down:
                return f"Put {tool.name} back."
            return f"Wind {tool.name} down{to_where(tool)}, then put it back."
        case _ as never:
            assert_never(never)


def _for_the_turn(where: Where) -> str:
    return f"{place(where)} comes next, a turn: take up an angle gauge, or turn from mark to mark."


_CAUSES = {
    "over": "is over its window",
    "bad pull": "had a bad pull",
    "mark lost": "has lost its mark; how far it was turned is unknown",
    "not as I left it": "is not as it was left",
    "broken": "broke",
    "stripped": "stripped",
    "never reaches the torque": "does not reach the torque",
    "wrong or missing part": "has a wrong or missing part",
    "not snug": "is not snug, and a turn starts from a snug bolt",
    "limit run out": "was not finished within the time limit",
    "budget used up": "has a fastener that has been tightened as often as is allowed",
    "set aside": "was set aside and is still to be done",
    "outside": "is outside its window",
    "points too far apart": "has points that lie too far apart",
    "not as expected": "is not as expected",
    "still moving": "still moved",
    "moved": "moved",
    "loose": "moved below its window",
    "found under": "was found under its window",
    "prevailing torque too low": "has too low a run-down torque",
    "prevailing torque too high": "runs down harder than it is to be pulled",
    "final torque outside": "has a torque outside its window after the turn",
    "stretch beyond its window": "is stretched beyond its window",
    "again at a gate": "was done before; it stands between the stages that are done again",
    "pulled out of turn": "was pulled out of turn",
    "pulled again": "was pulled again though it was done",
    "zero came back wrong": "came back with a wrong zero",
    "zero unknown": "has an unknown zero",
}


def _decide(prompt: Decide) -> str:
    if prompt.cause == "still moving":
        return f"{prompt.where.group or 'Of all'}: {prompt.found}. What is to be done?"
    if prompt.cause == "count differs":
        return f"{prompt.found}. What is to be done?"
    if prompt.over is not None and prompt.cause in ("bad pull", "pulled out of turn", "pulled again"):
        return f"{bolt(prompt.where)} is at {prompt.over}. Loosen it fully first."
    if prompt.cause == SPREAD and prompt.found is not None:
        return f"Points {prompt.found}."
    about = f"Position {prompt.position}" if prompt.position not in (None, "-") else place(prompt.where)
    if prompt.cause == THIRD_UNDER:
        return f"{about} is still under after {prompt.found} pulls."
    if prompt.cause.startswith("zero"):
        about = "The tool"
    found = f" ({prompt.found})" if prompt.found else ""
    return f"{about} {_CAUSES.get(prompt.cause, f'needs a decision: {prompt.cause}')}{found}. What is to be done?"
