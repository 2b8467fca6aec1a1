"""A line with the state before and after it: what the acts of that line are made of."""

from __future__ import annotations

from typing import Any

from clampbook.procedure.model import Turn
from clampbook.run import events as e
from clampbook.run.fold.acts import BY_CONCESSION, NOT_JUDGED, Act, Kind
from clampbook.run.fold.fastener import over_all_the_same as conceded_over
from clampbook.run.plan import Plan, Step
from clampbook.run.progress import Progress, standing

MARKS = "marks"  # the tool of a turn that nobody measures


class Line:
    """A line, the state before it, and the state after it."""

    def __init__(self, plan: Plan, before: Progress, event: e.Event, after: Progress) -> None:
        self.plan = plan
        self.before = before
        self.event = event
        self.after = after

    def step(self, name: str) -> Step:
        """The plan's step of this name."""
        return self.plan.steps[self.plan.index_of[name]]

    def act(self, kind: Kind, name: str, outcome: str, *, position: str | None = None, **more: Any) -> Act:
        """An act at a step, in the attempt that the walk was at."""
        event, step = self.event, self.step(name)
        where = position if position is not None else step.position
        if more.get("work") and kind in ("look", "loosening"):  # its line names the step at which it was inserted
            step = self.plan.at_position(step, where)
        own = where is not None and where in self.plan.group_of
        attempt = standing(self.before, where or "").attempt if own else getattr(event, "attempt", 1)
        return Act(
            line=event.seq,
            at=event.at,
            offset=event.offset,
            by=event.by,
            done_by=event.done_by or event.by,
            kind=kind,
            step=step.id,
            stage=step.stage,
            round=step.round,
            position=where if own else None,
            attempt=attempt,
            outcome=outcome,
            adapter=self.adapter(more.get("tool")),
            **more,
        )

    def adapter(self, tool: str | None) -> str | None:
        """Name what was on a tool in hand."""
        held = self.before.hand.get(tool) if tool is not None else None
        return held.adapter.id if held is not None and held.adapter is not None else None

    def in_use(self, step: Step) -> str | None:
        """The tool that serves the pulls of a step; a turn by its mark is told by the marks."""
        using, stage = self.before.using, self.plan.stage_of(step)
        if isinstance(stage, Turn) and stage.judged_by == "mark":
            return MARKS
        needs = ("angle",) if step.kind == "turn" else ("torque", "reading")
        return next((using[need] for need in needs if need in using), None)

    def setting(self, tool: str | None) -> tuple[str | None, str | None]:
        """Give what a setting tool in hand is set to, and its unit; neither where it shows a reading."""
        held = self.before.hand.get(tool) if tool is not None else None
        if held is None or held.tool.kind != "setting":
            return None, None
        return held.set_to, held.tool.unit if held.set_to is not None else None


def judged(verdict: e.Verdict | None, window: e.Ends | None, shown: str | None, unit: str | None) -> dict[str, Any]:
    """A number that is judged; where the procedure names no window nothing was."""
    held = window is not None and window != (None, None)
    said = verdict if held else None
    return {
        "outcome": said or NOT_JUDGED,
        "verdict": said,
        "window": window if held else None,
        "shown": shown,
        "shown_unit": None if shown is None else unit,
    }


def over_all_the_same(line: Line, event: e.Rechecked | e.Corrected) -> dict[str, Any]:
    """A pull to within its window says nothing of a fastener that holds more, and was accepted so."""
    position = line.step(event.step or "").position or ""
    conceded = conceded_over(standing(line.before, position).fastener, event.window)
    moved = isinstance(event, e.Rechecked) and event.moved
    if conceded is None or event.verdict != "within" or moved:
        return {}
    return {"outcome": BY_CONCESSION, "conceded_at": conceded.line}
