"""The sense of a whole procedure: names, references, what goes together, and how much work it is."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from typing import assert_never

from clampbook.procedure.codes import Code
from clampbook.procedure.entries import Entry, Joint
from clampbook.procedure.labels import listed, named
from clampbook.procedure.model import LAST_PULL, Align, Apply, Attested, Loosen, Measure, Recheck, Stage, Tighten, Turn
from clampbook.procedure.slips import KeyPath, Slips, did_you_mean, short
from clampbook.procedure.washing import UNREAD
from clampbook.text import quoted
from clampbook.units import kind_of

MOST_STEPS = 500_000


@dataclass(frozen=True, slots=True)
class Work:
    """A list of stages that is worked through as one: the procedure's own, or those of a follow-up."""

    at: KeyPath
    entries: Sequence[Entry]
    stages: Sequence[Stage | None]  # one an entry; None where it has a slip

    def pairs(self) -> Iterator[tuple[Entry, Stage]]:
        """Entries with their stages, where there is one."""
        return ((entry, stage) for entry, stage in zip(self.entries, self.stages, strict=True) if stage is not None)


def check_work(joint: Joint, work: Work) -> None:
    """All that the stages of one list must keep to among themselves."""
    slips = joint.reading.slips
    _references(slips, work)
    for entry, stage in work.pairs():
        _confirming(slips, entry, stage)
        if isinstance(stage, Recheck):
            _rechecking(slips, entry)
    _amount(slips, work)


def check_groups(joint: Joint, work: Work) -> None:
    """Every group is worked on, and a time limit has something that starts it."""
    slips = joint.reading.slips
    if any(not entry.resolved or entry.stands_in for entry in work.entries):
        return
    used = {entry.group.name for entry in work.entries if entry.group is not None}
    applied = {stage.group for _, stage in work.pairs() if isinstance(stage, Apply)}
    for index, group in enumerate(joint.groups):
        if group.name == UNREAD or joint.named[group.name] is not group:
            continue
        if group.name not in used:
            slips.add(
                Code.IDLE_GROUP,
                ("group", index),
                f"no stage works on {quoted(group.name)}",
                found="no stage",
                allowed="one stage or more",
                hint=f'add a [[stage]] with group = "{group.name}", or remove the group',
            )
        if group.finish_within is not None and group.name not in applied:
            slips.add(
                Code.NEVER_STARTED,
                ("group", index, "finish_within"),
                f"the time of {quoted(group.name)} never starts, as nothing is applied",
                found="no apply stage",
                allowed="a stage that applies something to this group",
                hint='add a [[stage]] with do = "apply", or remove finish_within',
            )


def _references(slips: Slips, work: Work) -> None:
    """`minus` and `since` name a stage that comes earlier in the same work."""
    earlier: dict[str, tuple[Entry, Stage | None]] = {}
    later = {entry.table.id for entry in work.entries if entry.table.id is not None}
    pulled, hidden = False, False
    for entry, stage in zip(work.entries, work.stages, strict=True):
        key, name = _named_by(entry)
        if name == LAST_PULL and key == "since":
            if not pulled and not hidden:
                _no_pull(slips, (*entry.at, key))
        elif name is not None and name != UNREAD:
            if name in earlier:
                if key == "minus" and stage is not None:
                    _taken_off(slips, (*entry.at, key), name, stage, earlier[name][1], earlier[name][0])
            elif not hidden:
                _unknown(slips, (*entry.at, key), name, name in later, earlier)
        if entry.table.id is not None:
            earlier.setdefault(entry.table.id, (entry, stage))
        pulled = pulled or entry.table.do in ("tighten", "turn", "recheck")
        hidden = hidden or entry.stands_in


def _named_by(entry: Entry) -> tuple[str, str | None]:
    """The key by which a stage refers to an earlier one, and the name it gives."""
    table = entry.table
    if table.do == "wait":
        return "since", table.since
    if table.do == "measure" or (table.do == "tighten" and table.until is not None):
        return "minus", table.minus
    return "minus", None


def _no_pull(slips: Slips, at: KeyPath) -> None:
    slips.add(
        Code.NO_PULL_BEFORE,
        at,
        "the wait counts from the last pull, and nothing is pulled before it",
        found=LAST_PULL,
        allowed="a stage before it that tightens, turns or rechecks",
        hint="remove since, and the wait counts from its own start",
    )


def _unknown(slips: Slips, at: KeyPath, name: str, is_later: bool, earlier: Collection[str]) -> None:
    slips.add(
        Code.UNKNOWN_STAGE,
        at,
        f"stage {quoted(name)} comes later, or is this one" if is_later else f"no stage has the id {quoted(name)}",
        found=name,
        allowed=listed(earlier) if earlier else "the id of an earlier stage",
        hint=did_you_mean(name, earlier) or f'give an earlier stage id = "{short(name)}"',
    )


def _taken_off(slips: Slips, at: KeyPath, name: str, stage: Stage, earlier: Stage | None, earlier_entry: Entry) -> None:
    """Find a slip unless what is taken off was measured, at the same positions and points, in a unit of the same
    kind."""
    if earlier is None:
        if earlier_entry.table.do == "measure":
            return
        text = f"{quoted(name)} measures nothing"
    elif not isinstance(earlier, Measure):
        text = f"{quoted(name)} measures nothing"
    else:
        text = _uncovered(name, stage, earlier)
    if text:
        slips.add(
            Code.MINUS,
            at,
            text,
            found=name,
            allowed="an earlier stage that measures the same positions and points in the same kind of unit",
            hint="name the same positions and points in both stages",
        )


def _uncovered(name: str, stage: Stage, earlier: Measure) -> str:
    if not isinstance(stage, Measure | Tighten):
        return ""
    unit = stage.unit if isinstance(stage, Measure) else stage.stretch.window.unit if stage.stretch else earlier.unit
    if kind_of(unit) != kind_of(earlier.unit):
        return f"{quoted(name)} is measured in {earlier.unit}, which cannot be taken off a value in {unit}"
    here = set(stage.positions) if isinstance(stage, Tighten) or stage.asked == "each" else {""}
    there = set(earlier.positions) if earlier.asked == "each" else {""}
    if here - there:
        return f"{quoted(name)} has no value of {_spots(here - there)}"
    points = set(stage.points) if isinstance(stage, Measure) else set()
    if points != set(earlier.points):
        return f"{quoted(name)} is measured at other points ({listed(sorted(earlier.points)) or 'none'})"
    return ""


def _spots(positions: set[str]) -> str:
    labels = sorted(positions - {""})
    return named(labels) if labels else "the joint as a whole, only of single positions"


def _confirming(slips: Slips, entry: Entry, stage: Stage) -> None:
    """Rounds are confirmed where nothing is read and positions stand in a round."""
    if not isinstance(stage, Tighten) or stage.confirm == "each":
        return
    reason = ""
    if stage.stretch is not None:
        reason = "its stretch is measured"
    elif entry.group is not None and entry.group.prevailing is not None:
        reason = "its prevailing torque is measured"
    elif stage.each == "position":
        reason = "the steps are repeated for each position"
    if reason:
        slips.add(
            Code.NOT_CONFIRMED,
            (*entry.at, "confirm"),
            f"each position is answered by itself, as {reason}",
            found=stage.confirm,
            allowed="each",
            hint="remove confirm",
        )


def _rechecking(slips: Slips, entry: Entry) -> None:
    if entry.group is not None and entry.group.recheck == "forbidden":
        slips.add(
            Code.RECHECK_FORBIDDEN,
            entry.at,
            f"{quoted(entry.group.name)} must not be rechecked",
            found='do = "recheck"',
            allowed='a group without recheck = "forbidden"',
            hint="remove the stage, or compare recheck of the group with the manual",
        )
    if entry.block_table is not None and entry.table.do == "recheck" and entry.table.until_still:
        slips.add(
            Code.STEP_PLACE,
            (*entry.at, "until_still"),
            "a recheck with until_still covers all positions, so it cannot be a step",
            found="until_still",
            allowed="a [[stage]] of its own",
            hint="make it a [[stage]] of its own",
        )


def steps_of(stage: Stage) -> int:
    """Count the steps that a stage makes in the plan."""
    places = len(stage.positions) if stage.at_each else 1
    if isinstance(stage, Attested):
        return places
    match stage:
        case Tighten() | Turn():
            return places * stage.rounds
        case Align() | Loosen() | Recheck():
            return places
        case Measure():
            return places * max(1, len(stage.points))
        case _ as never:
            assert_never(never)


def _amount(slips: Slips, work: Work) -> None:
    total = sum(steps_of(stage) for _, stage in work.pairs())
    if total > MOST_STEPS:
        slips.add(
            Code.TOO_MANY,
            work.at,
            f"the stages make {total} steps",
            found=f"{total} steps",
            allowed=f"up to {MOST_STEPS}",
            hint=f"use {MOST_STEPS} at most, and check positions and rounds",
        )
