"""The rows beside the text of a draft: what is wrong, what is asked, the joint, the steps as walked."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from msgspec import Struct

from clampbook.book.drafting.preview import Preview
from clampbook.faults import Fault, Query, show
from clampbook.record.pages.planned_steps import heading, short_line
from clampbook.record.pages.telling import counted
from clampbook.run.plan import Plan
from clampbook.run.told.clamp_loads import after_stage
from clampbook.run.told.places import fasteners
from clampbook.screens.choosing import wrapped
from clampbook.screens.widgets.map_drawing import draw, plain
from clampbook.text import printable

_MAP = 14  # rows that the joint takes at most
_INDENT = "   "


class Row(Struct, frozen=True):
    """A row; `line` is where Enter leads in the text, `number` by which it is chosen, `tone` how it is painted."""

    text: str = ""
    tone: str = ""
    line: int | None = None
    number: int | None = None


class StepRow(Struct, frozen=True):
    """A step of the plan; its words are only made once it is in sight."""

    plan: Plan
    step: int
    line: int | None

    @property
    def text(self) -> str:
        """The step, as it will be walked."""
        return short_line(self.plan, self.plan.steps[self.step])


Rows = Sequence[Row | StepRow]


def rows(now: Preview, last: Preview, since: str, width: int) -> Rows:
    """All rows in so many columns. `last` is the preview of the text as it was last without errors; it is compared with
    the revision `since`."""
    told: list[Row | StepRow] = [*_found(now, width)]
    if now.errors and last.plan is not None:
        told += [Row(), *_wrapped("Below: as it was before these errors.", width, "quiet")]
    if now.changes:
        told += [Row(), Row(f"Changes since revision {printable(since)}", "bold")]
        told += [row for each in now.changes for row in _wrapped(each, width, "", _INDENT)]
    if last.plan is not None:
        told += [Row(), *_joint(last.plan, width), Row(), *_steps(last, last.plan, width)]
    return told


def state(now: Preview) -> str:
    """Say in one line how the draft stands."""
    if now.errors:
        return counted(len(now.errors), "error")
    steps = "" if now.plan is None else f" · {counted(len(now.plan.steps), 'step')}"
    queries = "1 query" if len(now.queries) == 1 else f"{len(now.queries) or 'no'} queries"
    return f"No errors, {queries}{steps}"


def _found(now: Preview, width: int) -> Iterator[Row]:
    """The errors, or else the queries, each with its number and its line."""
    yield Row(state(now), "bold")
    found: tuple[Fault | Query, ...] = now.errors or now.queries
    for number, each in enumerate(found, 1):
        told = show(replace(each, path=""))
        tone = "over" if now.errors else ""
        mark = "!" if now.errors else "?"
        yield from _numbered(number, f"{mark} {told}", each.line, width, tone)


def _numbered(number: int, text: str, at: int | None, width: int, tone: str) -> Iterator[Row]:
    before = f"{number:>2} "
    for place, part in enumerate(wrapped(text, max(8, width - len(before)))):
        first = place == 0
        yield Row(
            f"{before if first else ' ' * len(before)}{part}",
            tone,
            at if first else None,
            number if first else None,
        )


def _joint(plan: Plan, width: int) -> Iterator[Row]:
    """The picture of the joint."""
    drawn = [plain(each).rstrip() for each in draw(plan.layout, {}, (), width, _MAP, fits=fasteners(plan))]
    while drawn and not drawn[-1]:
        drawn.pop()
    while drawn and not drawn[0]:
        drawn.pop(0)
    yield from (Row(each) for each in drawn)


def _steps(last: Preview, plan: Plan, width: int) -> Iterator[Row | StepRow]:
    """The steps in order, each stage with its heading and what it is expected to do to the clamp load."""
    for index, step in enumerate(plan.steps):
        at = last.line_of_stage.get(plan.numbered[step.stage])
        if plan.first_of_stage[step.stage] == index:
            told = wrapped(printable(heading(plan, plan.stage_of(step))), width)
            yield from (Row(part, "bold", at if place == 0 else None) for place, part in enumerate(told))
            for each in after_stage(plan, step.stage):
                yield from _wrapped(each.whole, width, "quiet", _INDENT)
        yield StepRow(plan, index, at)


def _wrapped(text: str, width: int, tone: str, indent: str = "") -> Iterator[Row]:
    yield from (Row(f"{indent}{part}", tone) for part in wrapped(printable(text), max(8, width - len(indent))))
