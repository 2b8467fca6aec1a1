"""The progress of a check: the fold of its events, `apply(plan, progress, event)`; nothing is judged anew here."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from typing import Literal, assert_never

from msgspec import Struct
from msgspec.structs import replace

from clampbook.check import events as e
from clampbook.check.deviation import deviation
from clampbook.check.plan import CheckPlan, Phase
from clampbook.tools.model import CheckVerdict


class Pull(Struct, frozen=True):
    """One reading that counts, by the line that stored it; values in the tool's unit."""

    line: int
    phase: Phase
    series: int
    point: int
    indicated: Decimal
    reference: Decimal

    @property
    def deviation(self) -> Decimal:
        """In percent, to 18 digits."""
        return deviation(self.indicated, self.reference)


class Progress(Struct, frozen=True, kw_only=True):
    """The state after some lines. `pulls` are those that count; `loaded` says how often the tool was loaded on which
    day (ISO 8601, UTC), whatever became of it."""

    seq: int = 0
    at: str = ""
    by: str = ""
    phase: Phase = "as found"
    temperature_asked: bool = False
    temperature: str | None = None
    zeroed: frozenset[tuple[Phase, str]] = frozenset()
    exercises: dict[tuple[Phase, str], int] = {}  # phase and direction
    set_at: tuple[Phase, int, int] | None = None  # where a setting tool is set now
    pulls: tuple[Pull, ...] = ()
    loaded: dict[str, int] = {}
    adjusted: str | None = None
    settled: bool = False  # whether it was said if the tool was adjusted
    read_from_file: bool = False
    ended: Literal["closed", "abandoned"] | None = None
    stopped: bool = False
    as_found: CheckVerdict | None = None  # as its last line says
    as_left: CheckVerdict | None = None


def apply(plan: CheckPlan, progress: Progress, event: e.Event) -> Progress:
    """The state after one more line."""
    after = replace(progress, seq=event.seq, at=event.at, by=event.by, stopped=False)
    match event:
        case e.Opened() | e.Noted() | e.Resumed():
            return _back(after) if isinstance(event, e.Resumed) else after
        case e.TemperatureRead():
            return replace(after, temperature_asked=True, temperature=event.value)
        case e.Zeroed():
            good = event.state == "good"
            return replace(after, zeroed=after.zeroed | {(event.phase, event.what)}) if good else after
        case e.Exercised():
            key = (event.phase, plan.series[event.series].direction)
            return loaded(replace(after, exercises={**after.exercises, key: after.exercises.get(key, 0) + 1}))
        case e.ToolSet():
            return replace(after, set_at=(event.phase, event.series, event.point))
        case e.Pulled():
            return loaded(replace(after, pulls=(*after.pulls, _pull(event))))
        case e.Voided(of=None):  # a bad pull that was never stored as any other
            return loaded(after)
        case e.Voided():
            return replace(after, pulls=tuple(pull for pull in after.pulls if pull.line != event.of))
        case e.Corrected():
            return replace(after, pulls=tuple(_put_right(pull, event) for pull in after.pulls))
        case e.FoundRead():
            return replace(after, read_from_file=True)
        case e.Adjusted():
            return replace(after, adjusted=event.what, settled=True, phase="as left", set_at=None)
        case e.LeftAlone():
            return replace(after, settled=True)
        case e.Paused():
            return replace(after, stopped=True)
        case e.Closed():
            return replace(after, ended="closed", as_found=event.as_found, as_left=event.as_left)
        case e.Abandoned():
            return replace(after, ended="abandoned")
        case _:
            assert_never(event)


def loaded(progress: Progress, times: int = 1) -> Progress:
    """The tool was loaded so often on the day of the present line."""
    day = progress.at[:10]
    return replace(progress, loaded={**progress.loaded, day: progress.loaded.get(day, 0) + times})


def fold(plan: CheckPlan, events: Iterable[e.Event]) -> Progress:
    """The state after all these lines."""
    progress = Progress()
    for event in events:
        progress = apply(plan, progress, event)
    return progress


def deviations(progress: Progress, phase: Phase) -> dict[tuple[int, int], list[Decimal]]:
    """The deviations of one phase in percent by series and point, in the order of the pulls."""
    found: dict[tuple[int, int], list[Decimal]] = {}
    for pull in progress.pulls:
        if pull.phase == phase:
            found.setdefault((pull.series, pull.point), []).append(pull.deviation)
    return found


def count(progress: Progress, phase: Phase, series: int, point: int) -> int:
    """Count the readings at one point that count."""
    place = (phase, series, point)
    return sum((pull.phase, pull.series, pull.point) == place for pull in progress.pulls)


def _back(progress: Progress) -> Progress:
    """After a break zero is looked at again and the scale typed back: nobody knows who had the tool meanwhile."""
    kept = frozenset(key for key in progress.zeroed if key[0] != progress.phase)
    return replace(progress, zeroed=kept, set_at=None)


def _pull(event: e.Pulled) -> Pull:
    return Pull(event.seq, event.phase, event.series, event.point, Decimal(event.indicated), Decimal(event.reference))


def _put_right(pull: Pull, event: e.Corrected) -> Pull:
    if pull.line != event.of:
        return pull
    return replace(pull, indicated=Decimal(event.indicated), reference=Decimal(event.reference))
