"""The rows beside the text of a draft: what is wrong, what is asked, the joint, the steps as walked."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import accumulate, groupby
from operator import attrgetter
from typing import overload

from msgspec import Struct
from rich.cells import cell_len, set_cell_size

from clampbook.book.drafting.preview import Preview
from clampbook.faults import Fault, Query, show
from clampbook.record.pages.planned_steps import heading, short_line
from clampbook.run.plan import Plan
from clampbook.run.told.clamp_loads import after_stage
from clampbook.run.told.places import fasteners
from clampbook.screens.choosing import wrapped
from clampbook.screens.widgets.map_drawing import draw, plain
from clampbook.text import counted, printable

_MAP = 14  # rows that the joint takes at most
_INDENT = "   "
_BETWEEN = " · "


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
    tone: str = ""
    number: int | None = None

    @property
    def text(self) -> str:
        """The step, as it will be walked."""
        return short_line(self.plan, self.plan.steps[self.step])


class Steps(Struct, frozen=True):
    """Some steps of one stage, one after the other; `line` is where their stage begins."""

    plan: Plan
    first: int
    count: int
    line: int | None


class Rows(Sequence[Row | StepRow]):
    """All rows, in pieces: those of steps are made one by one, as somebody looks at them."""

    def __init__(self, pieces: Iterable[Row | Steps]) -> None:
        self._pieces = tuple(pieces)
        self._ends = tuple(accumulate(each.count if isinstance(each, Steps) else 1 for each in self._pieces))

    def __len__(self) -> int:
        return self._ends[-1] if self._ends else 0

    @overload
    def __getitem__(self, place: int) -> Row | StepRow: ...

    @overload
    def __getitem__(self, place: slice) -> Sequence[Row | StepRow]: ...

    def __getitem__(self, place: int | slice) -> Row | StepRow | Sequence[Row | StepRow]:
        if isinstance(place, slice):
            return [self[each] for each in range(*place.indices(len(self)))]
        if not 0 <= place < len(self):
            raise IndexError(place)
        at = bisect_right(self._ends, place)
        piece = self._pieces[at]
        if isinstance(piece, Row):
            return piece
        begins = self._ends[at] - piece.count
        return StepRow(piece.plan, piece.first + place - begins, piece.line)


def rows(now: Preview, last: Preview, since: str, width: int, drawn: tuple[Row, ...] | None = None) -> Rows:
    """All rows in so many columns. `last` is the preview of the text as it was last without errors; it is compared with
    the revision `since`. `drawn` is the joint as `joint` draws it, where that is known already."""
    told: list[Row | Steps] = [*_found(now, width)]
    if now.errors and last.plan is not None:
        told += [Row(), *_wrapped("Below: as it was before these errors.", width, "quiet")]
    if now.changes:
        told += [Row(), Row(f"Changes since revision {printable(since)}", "bold")]
        told += [row for each in now.changes for row in _wrapped(each, width, "", _INDENT)]
    if last.plan is not None:
        told += [Row(), *(joint(last.plan, width) if drawn is None else drawn), Row()]
        told += _steps(last, last.plan, width)
    return Rows(told)


def state(now: Preview) -> str:
    """Say in one line how the draft stands."""
    if now.errors:
        return counted(len(now.errors), "error")
    steps = "" if now.plan is None else f"{_BETWEEN}{counted(len(now.plan.steps), 'step')}"
    queries = "1 query" if len(now.queries) == 1 else f"{len(now.queries) or 'no'} queries"
    return f"No errors, {queries}{steps}"


def top_line(name: str, now: Preview, *, saved: bool, width: int) -> str:
    """The top line. Whether it is saved always stands: the steps give way first, then what there is
    none of, then the end of the file's name."""
    kept = "saved" if saved else "not saved"
    whole = state(now)
    found = whole.partition(_BETWEEN)[0]
    for told in (whole, found, found.removesuffix(", no queries").removeprefix("No errors, ")):
        line = _BETWEEN.join((printable(name), told, kept))
        if cell_len(line) <= width:
            return line
    behind = f"…{_BETWEEN}{told}{_BETWEEN}{kept}"
    return f"{set_cell_size(printable(name), max(1, width - cell_len(behind))).rstrip()}{behind}"


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


def joint(plan: Plan, width: int) -> tuple[Row, ...]:
    """The picture of the joint."""
    drawn = [plain(each).rstrip() for each in draw(plan.layout, {}, (), width, _MAP, fits=fasteners(plan))]
    while drawn and not drawn[-1]:
        drawn.pop()
    while drawn and not drawn[0]:
        drawn.pop(0)
    return tuple(map(Row, drawn))


def _steps(last: Preview, plan: Plan, width: int) -> Iterator[Row | Steps]:
    """The steps in order, each stage with its heading and what it is expected to do to the clamp load."""
    numbered, begins = plan.numbered, 0
    for stage, of_stage in groupby(plan.steps, key=attrgetter("stage")):
        at, count = last.line_of_stage.get(numbered[stage]), sum(1 for _ in of_stage)
        if plan.first_of_stage[stage] == begins:
            told = wrapped(printable(heading(plan, plan.stages[stage - 1])), width)
            yield from (Row(part, "bold", at if place == 0 else None) for place, part in enumerate(told))
            for each in after_stage(plan, stage):
                yield from _wrapped(each.whole, width, "quiet", _INDENT)
        yield Steps(plan, begins, count, at)
        begins += count


def _wrapped(text: str, width: int, tone: str, indent: str = "") -> Iterator[Row]:
    yield from (Row(f"{indent}{part}", tone) for part in wrapped(printable(text), max(8, width - len(indent))))
