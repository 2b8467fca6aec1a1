"""Values that are judged less an earlier one at their fastener, such as a stretch: what they come to once the earlier
one, which was mistyped, is put right."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from msgspec import Struct

from clampbook.figures import Ends, judge
from clampbook.procedure.model import Measure, Tighten
from clampbook.run.fold.measured import before_it, kept_at
from clampbook.run.fold.verdict import Judged, Verdict
from clampbook.run.plan import Plan, Step
from clampbook.run.progress import Kept, Progress, standing
from clampbook.units import Quantity


class Difference(Struct, frozen=True):
    """A value at the plan step `index` (from 0), in the line that has it, and what is left of it: `verdict` is that on
    the difference. `stretch`: it was measured between two pulls, else in a stage of its own."""

    index: int
    line: int
    value: Decimal
    left: Quantity
    window: Ends
    verdict: Verdict
    stretch: bool

    @property
    def judged(self) -> Judged:
        """By what it is judged, for a decision about it."""
        unit = self.left.unit
        return Judged(window=self.window, unit=unit, shown=self.left.value, typed=self.value, typed_unit=unit)


def differences(plan: Plan, progress: Progress, step: Step, now: Decimal) -> Iterator[Difference]:
    """All that is judged less the value measured at this step, which is `now` another one."""
    earlier = kept_at(plan, progress, step, step.point or "")
    if step.position is None or earlier is None:
        return
    for index in plan.steps_of[step.position]:
        later = plan.steps[index]
        before = before_it(plan, progress, later)
        if before is None or before.line != earlier.line or not _told(progress, later, index):
            continue
        found = _measured(plan, progress, later) or _stretched(plan, progress, index, earlier)
        if found is not None:
            line, value, window, unit = found
            left = Quantity(value - now, unit)
            is_stretch = later.kind == "tighten"
            yield Difference(index, line, value, left, window, judge(left.value, window), is_stretch)


_Found = tuple[int, Decimal, Ends, str]


def _told(progress: Progress, later: Step, index: int) -> bool:
    """True where its value stands: its step is done, or its value is asked about."""
    state = standing(progress, later.position or "")
    asked = (each for each in progress.questions if each.step == index and later.position in each.positions)
    return state.through >= index or next(asked, None) is not None or state.latest_what == "stretch"


def _measured(plan: Plan, progress: Progress, later: Step) -> _Found | None:
    stage = plan.stage_of(later)
    if not isinstance(stage, Measure):
        return None
    own: Kept | None = kept_at(plan, progress, later, later.point or "")
    return None if own is None else (own.line, own.value, later.window or (None, None), stage.unit)


def _stretched(plan: Plan, progress: Progress, index: int, earlier: Kept) -> _Found | None:
    """The latest stretch between two pulls, as long as no pull came after it."""
    later = plan.steps[index]
    stage, state = plan.stage_of(later), standing(progress, later.position or "")
    if not isinstance(stage, Tighten) or stage.stretch is None or state.stretched is None:
        return None
    if state.latest_what != "stretch" or state.latest_step != index or state.stretched[0] != state.attempt:
        return None
    window = stage.stretch.window
    return state.latest, state.stretched[1] + earlier.value, (window.low, window.high), window.unit
