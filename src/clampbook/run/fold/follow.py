"""The fold with its acts: what the walk makes of a line, and what was done in it; and all acts of a run together."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from clampbook.run import events as e
from clampbook.run.fold.acts import (
    BY_CONCESSION,
    CLICKS,
    MOVED,
    NO_MOVEMENT,
    NO_MOVEMENT_YET,
    NOT_JUDGED,
    TOO_FAR_APART,
    UNKNOWN,
    Act,
    Kind,
    WhyNot,
)
from clampbook.run.fold.adding_up import added_up
from clampbook.run.fold.adjusting import ADJUST, Loop, loop_at
from clampbook.run.fold.again import same_measurement
from clampbook.run.fold.apply import apply, begin
from clampbook.run.lines import done
from clampbook.run.plan import Plan
from clampbook.run.progress import Progress, standing

_AGAIN: dict[Kind, WhyNot] = {
    "pull": "pulled again",
    "turn": "earlier stroke",
    "recheck": "earlier pass",
    "backing off": "earlier pass",
    "loosening": "loosened again",
    "application": "applied again",
    "prevailing torque": "measured again",
    "final torque": "measured again",
    "stretch": "measured again",
    "measurement": "measured again",
}
"""The reason why an act no longer counts once the same was done again at its step; of other kinds each one stands."""


_REMEMBERED: WhyNot = "from memory alone"


class Followed(Struct, frozen=True):
    """The state after a line, and its acts."""

    progress: Progress
    acts: tuple[Act, ...]


class Told(Struct, frozen=True):
    """A run as the walk took it: how it stands at the last line, and every act with whether it counts."""

    progress: Progress
    acts: tuple[Act, ...]
    started_over: dict[int, tuple[str, ...]] = {}  # line of a decision or a void: positions from the beginning by it


def follow(plan: Plan, progress: Progress, event: e.Event) -> Followed:
    """The state after one more line, and what was done in it."""
    after = apply(plan, progress, event)
    return Followed(after, done(plan, progress, event, after))


def tell(plan: Plan, events: Iterable[e.Event]) -> Told:
    """All acts of these lines in their order. What a later line unmakes is told so; how the walk ends says the rest."""
    progress, acts = begin(plan), _Acts()
    started_over: dict[int, tuple[str, ...]] = {}
    for event in events:
        followed = follow(plan, progress, event)
        if isinstance(event, e.Decided | e.Voided):
            again = tuple(
                each for each in plan.steps_of if _attempt(followed.progress, each) > _attempt(progress, each)
            )
            started_over |= {event.seq: again} if again else {}
        if isinstance(event, e.Decided) and event.choice == ADJUST and event.step is not None:
            acts.adjusted(loop_at(plan, progress, plan.index_of[event.step], event.position))
        if isinstance(event, e.Corrected) and event.spread is not None:
            acts.judged_together_anew(_points_beside(plan, event))
        progress = followed.progress
        for act in followed.acts:
            acts.add(act)
    return Told(progress, tuple(added_up(plan, settled(acts.all, progress))), started_over)


def _attempt(progress: Progress, position: str) -> int:
    return standing(progress, position).attempt


def _points_beside(plan: Plan, event: e.Corrected) -> frozenset[str]:
    """The steps of the other points of the measurement in which one is put right."""
    here = plan.steps[plan.index_of[event.step or ""]]
    return frozenset(step.id for step in plan.steps if same_measurement(step, here) and step.id != here.id)


class _Acts:
    """Acts while they are collected; a later one may change what an earlier one is."""

    def __init__(self) -> None:
        self.all: list[Act] = []
        self._at: dict[int, list[int]] = {}  # line: places in `all`
        self._stands: dict[int, int] = {}  # place of an act: that of the correction that stands for it

    def add(self, act: Act) -> None:
        """Take one in, and do what it does to those before it."""
        named = self._named(act)
        if act.corrects and named:
            act = _put_right(self.all[named[0]], act)
        place = len(self.all)
        self.all.append(act)
        self._at.setdefault(act.line, []).append(place)
        for each in named:
            latest = self._latest(each)
            if act.corrects and act.why_not == _REMEMBERED:  # what it names stands, and whoever names it names that
                self._stands[place] = latest
            elif act.corrects:
                self._unmake(latest, "corrected")
                self._stands[each] = self._stands[latest] = place
            elif act.kind == "decision":
                if "concession" in act.outcome and self.all[latest].why_not != "void":
                    conceded = {"outcome": BY_CONCESSION, "conceded_at": act.line}
                    self.all[latest] = replace(self.all[latest], **conceded)
            else:
                self._unmake(latest, "void")

    def adjusted(self, loop: Loop | None) -> None:
        """Count no longer what was done on the way that is gone again, whether the run gets so far again or not."""
        if loop is None:
            return
        for place, act in enumerate(self.all):
            of_it = act.position is None or act.position in loop.positions
            if act.step in loop.steps and of_it and act.why_not is None and act.kind != "decision":
                self.all[place] = replace(act, why_not="adjusted since")

    def judged_together_anew(self, steps: frozenset[str]) -> None:
        """Take the points of a measurement for what each is alone: the one that is put right now tells how far apart
        they lie."""
        last = {act.step: place for place, act in enumerate(self.all) if act.step in steps and act.why_not is None}
        for place in last.values():
            act = self.all[place]
            if act.outcome == TOO_FAR_APART:
                self.all[place] = replace(act, outcome=act.verdict or NOT_JUDGED)

    def _latest(self, place: int) -> int:
        while place in self._stands:
            place = self._stands[place]
        return place

    def _unmake(self, place: int, why: WhyNot) -> None:
        if self.all[place].why_not != "void":
            self.all[place] = replace(self.all[place], why_not=why)

    def _named(self, act: Act) -> list[int]:
        """The acts at the line that one names; where it holds several, those of its position, and of its step."""
        if act.about is None:
            return []
        found = self._at.get(act.about, [])
        own = [place for place in found if self.all[place].position == act.position]
        own = [place for place in own if self.all[place].step == act.step] or own
        if act.kind == "decision":
            return [
                place for place in (own if act.position is not None else found) if _can_be_conceded(self.all[place])
            ]
        return own or found


def _can_be_conceded(act: Act) -> bool:
    return act.kind in ("confirmation", "click", *_AGAIN)


def _put_right(first: Act, act: Act) -> Act:
    """A correction as the act that it stands for: made with the same tool, in the same attempt."""
    same: dict[str, Any] = {
        "kind": first.kind,
        "attempt": first.attempt,
        "position": first.position,
        "tool": first.tool,
        "adapter": first.adapter,
        "method": first.method,
        "pass_no": first.pass_no,
        "unit": act.unit or first.unit,
        "shown_unit": first.shown_unit or act.shown_unit,
    }
    window = act.window if act.window is not None else first.window
    if act.why_not is not None:
        return replace(act, **(same | {"window": window}))
    if window is None or window == (None, None):
        alone = act.outcome if act.outcome == TOO_FAR_APART else NOT_JUDGED  # which needs no window
        same |= {"window": None, "verdict": None, "outcome": alone}
    else:
        same |= {"window": window}
    if first.kind == "recheck" and first.outcome == MOVED:
        same |= {"outcome": MOVED}
    if first.unmoved:
        same |= _unmoved_as(first, act)
    if first.kind == "bad pull":
        same |= {"outcome": first.outcome, "why_not": "void"}
    if first.kind == "wrong position":
        same |= {"outcome": "over" if act.verdict == "over" else UNKNOWN, "why_not": "void"}
    return replace(act, **same)


def _unmoved_as(first: Act, act: Act) -> dict[str, Any]:
    """Nothing moved, whatever number it was: the torque at first movement is as little known as before."""
    same: dict[str, Any] = {"unmoved": True, "shown": None, "shown_unit": None}
    if act.verdict in ("under", "over"):
        return same
    yet = first.outcome == NO_MOVEMENT_YET
    return same | {"verdict": None, "outcome": NO_MOVEMENT_YET if yet else NO_MOVEMENT}


def settled(acts: Iterable[Act], progress: Progress) -> list[Act]:
    """Each act with whether it counts: the last one of its kind at its step, in the attempt that the walk ended in."""
    kept: set[tuple[str | None, str, Kind, bool]] = set()
    last_at_gate: dict[str, int] = {}
    found: list[Act] = []
    for act in reversed(list(acts)):
        why = act.why_not
        key = (act.position, act.step, "pull" if act.kind in CLICKS else act.kind, act.work)
        if why is None and _of_an_earlier_attempt(progress, act, last_at_gate):
            why = "earlier attempt"
        elif why is None and key[2] in _AGAIN:
            if key in kept:
                under = key[2] in ("pull", "recheck") and act.outcome == "under"
                why = "under, pulled again" if under else _AGAIN[key[2]]
                why = "pulled again" if act.outcome == NO_MOVEMENT_YET else why
            kept.add(key)
        found.append(act if why == act.why_not else replace(act, why_not=why))
    found.reverse()
    return found


def _of_an_earlier_attempt(progress: Progress, act: Act, last_at_gate: dict[str, int]) -> bool:
    if act.position is None:
        return act.attempt < last_at_gate.setdefault(act.step, act.attempt)
    return act.attempt < standing(progress, act.position).attempt
