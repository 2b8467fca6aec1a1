"""The state of a tool on a day: ready, check due, calibration overdue or in the future, out of service by hand or
after a failed check; and what is due when."""

from __future__ import annotations

import calendar
from collections.abc import Iterable
from datetime import date, timedelta
from decimal import Decimal
from typing import Literal

from msgspec import Struct

from clampbook.tools.against import (
    Ahead,
    FailedCheck,
    One,
    OutOfService,
    Overdue,
    UsedUp,
    clause,
    has_happened,
    overdue,
)
from clampbook.tools.model import WORKING, Stock, Tool, Trouble, Use
from clampbook.tools.permitted import signed
from clampbook.units import show_day

StateWord = Literal["fit", "check due", "calibration ahead", "calibration past", "withdrawn", "out of service"]
# What weighs most comes first.
STATES: tuple[StateWord, ...] = (
    "out of service",
    "withdrawn",
    "calibration past",
    "calibration ahead",
    "check due",
    "fit",
)
NOTHING_DUE = "Nothing is due before the end of this month."
SOON = timedelta(days=30)  # before its calibration ends a tool is named (common practice, no source)
NEARLY_USED_UP = 10  # percent of its pulls that are left when it is said (common practice, no source)


# The same states as people read them; for whoever reads it makes no difference who took a tool out of service.
STATE_WORDS: dict[StateWord, str] = {
    "out of service": "out of service",
    "withdrawn": "out of service",
    "calibration past": "calibration overdue",
    "calibration ahead": "calibration date in the future",
    "check due": "check due",
    "fit": "ready",
}


class State(Struct, frozen=True):
    """The word, and all that speaks for it in clauses that follow the tool's name; `due` is the next day due.

    A ready tool has clauses too where something is due soon. Of what speaks for it `against` wants a reason before it
    is taken; `notes` only want to be known; of `besides` no list of what is due speaks. `last` is True where something
    happened to the tool: then all others that want a reason go before it.
    """

    word: StateWord
    because: tuple[str, ...] = ()
    due: str | None = None
    against: tuple[One, ...] = ()
    notes: tuple[str, ...] = ()
    besides: tuple[str, ...] = ()
    last: bool = False

    @property
    def fit(self) -> bool:
        """True where the tool can be taken with no reason given."""
        return self.word == "fit"

    @property
    def out(self) -> bool:
        """True of a tool that failed its check: no reason is good enough to take it before one passes."""
        return self.word == "out of service"

    @property
    def told(self) -> str:
        """The state in a list: "ready, calibration due 2026-09-30", "calibration overdue since 2026-02-01"."""
        return ", ".join((STATE_WORDS["fit"], *self.because)) if self.fit else " · ".join(self.because)


class Due(Struct, frozen=True):
    """A calibration or a check that a tool wants by a day (ISO 8601), `what` as the state says it; `past` where that
    day, or a count, is over already."""

    tool: Tool
    kind: Literal["calibration", "check"]
    what: str
    on: str | None
    past: bool

    @property
    def says(self) -> str:
        """The whole as one line: "W7: calibration overdue since 2026-02-01"."""
        return f"{self.tool.name}: {self.what}"


def state(tool: Tool, today: date, use: Use | None = None) -> State:
    """The state of a tool on a day. Marks and gauges without any calibration are ready."""
    known = use or Use()
    last_day = due_on(tool)
    happened = unchecked(tool, known.troubles)
    heavy = [*_out_of_use(tool, known), *_calibration(tool, last_day, today, known.pulls)]
    noted = list(_check(tool, known))
    told = ((word, clause(one)) for word, one in heavy)
    found = [*told, *(("check due", f"check due: {each.says}, use needs a reason") for each in happened), *noted]
    changed = _changed(known)
    if not found:
        nearly = _nearly_used_up(tool, known.pulls)
        soon = (*changed, *_soon(last_day, today), *nearly)
        return State("fit", soon, last_day, notes=soon, besides=(*changed, *nearly))
    besides = (clause(one) for _, one in heavy if not isinstance(one, Overdue | UsedUp))
    word = min((word for word, _ in found), key=STATES.index)
    return State(
        word,
        (*(told for _, told in found), *changed),
        last_day,
        against=(*(one for _, one in heavy), *map(has_happened, happened)),
        notes=(*(told for _, told in noted), *changed),
        besides=(*besides, *changed),
        last=bool(happened) or word in ("out of service", "withdrawn"),
    )


def _changed(use: Use) -> tuple[str, ...]:
    was = use.serial_was
    return () if was is None else (f"serial number was {was}, is it the same tool?",)


def unchecked(tool: Tool, troubles: tuple[Trouble, ...]) -> tuple[Trouble, ...]:
    """Troubles of a tool that still count against it. A gauge, which no check can look at, is cleared by a
    calibration after that day; a torque tool by a passed check alone, and then nobody hands it on any more."""
    if tool.kind in WORKING or tool.calibrated_on is None:
        return troubles
    return tuple(each for each in troubles if each.on >= tool.calibrated_on)


def due_on(tool: Tool) -> str | None:
    """The day (ISO 8601) on which its calibration ends: as written, or by its interval, whichever comes first."""
    days = [] if tool.calibration_due is None else [tool.calibration_due]
    if tool.calibrated_on is not None and tool.interval_months is not None:
        days.append(months_after(date.fromisoformat(tool.calibrated_on), tool.interval_months).isoformat())
    return min(days, default=None)


def lies_ahead(tool: Tool, today: date) -> bool:
    """True where its calibration is written with a day still to come: a slip of the pen, or a clock that is wrong."""
    return tool.calibrated_on is not None and tool.calibrated_on > today.isoformat()


def months_after(day: date, months: int) -> date:
    """The same day so many months later, or the last one of a month that is too short for it."""
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    return date(year, month + 1, min(day.day, calendar.monthrange(year, month + 1)[1]))


def end_of_month(today: date) -> date:
    """The last day of the month."""
    return today.replace(day=calendar.monthrange(today.year, today.month)[1])


def due_by(stock: Stock, today: date, last: date | None = None) -> tuple[Due, ...]:
    """List what tools want until a day, by default until the end of this month, what is past first; withdrawn
    ones rest.
    """
    until = (last or end_of_month(today)).isoformat()
    found = [
        due for tool in stock.tools if tool.withdrawn is None for due in _wants(tool, today, until, stock.use(tool.id))
    ]
    return tuple(sorted(found, key=lambda due: (not due.past, due.on or "", due.tool.id)))


def _wants(tool: Tool, today: date, until: str, use: Use) -> Iterable[Due]:
    day = due_on(tool)
    past = day is not None and day < today.isoformat()
    if not past and tool.interval_pulls is not None and use.pulls >= tool.interval_pulls:
        yield Due(tool, "calibration", clause(UsedUp(use.pulls, tool.interval_pulls)), None, past=True)
    elif day is not None and day <= until:
        yield Due(tool, "calibration", overdue(day) if past else f"calibration due {day}", day, past)
    happened = (f"check due: {each.says}" for each in unchecked(tool, use.troubles))
    for told in (*happened, *(told for _, told in _check(tool, use))):
        yield Due(tool, "check", told, None, past=True)


def _out_of_use(tool: Tool, use: Use) -> Iterable[tuple[StateWord, One]]:
    if tool.withdrawn is not None:
        yield "withdrawn", OutOfService(tool.withdrawn.on, tool.withdrawn.reason)
    failed = use.failed
    if failed is not None:
        yield "out of service", FailedCheck(failed, tool.permissible_deviation)


def found_off(check: str, on: str, off: Decimal | None) -> str:
    """ "check 20260302-w5-aaaaaaaa of 2 March 2026 found it off by +6.10 %"."""
    return f"check {check} of {show_day(on)} found it off" + ("" if off is None else f" by {signed(off, None)}")


def _calibration(tool: Tool, last_day: str | None, today: date, pulls: int) -> Iterable[tuple[StateWord, One]]:
    if last_day is not None and last_day < today.isoformat():
        yield "calibration past", Overdue(last_day)
    if tool.calibrated_on is not None and lies_ahead(tool, today):
        yield "calibration ahead", Ahead(tool.calibrated_on)
    if tool.interval_pulls is not None and pulls >= tool.interval_pulls:
        yield "calibration past", UsedUp(pulls, tool.interval_pulls)


def _check(tool: Tool, use: Use) -> Iterable[tuple[StateWord, str]]:
    """A check is due where nothing says that the tool was ever right, or where the last one could not say it."""
    check = use.last_check
    if check is not None and check.verdict == "undecided":
        yield "check due", f"check due: last check undecided, {check.on}"
    if tool.kind not in (*WORKING, "reference") or check is not None:
        return
    if tool.calibrated_on is None and tool.calibration_due is None:
        yield "check due", "check due: never checked"


def _soon(last_day: str | None, today: date) -> tuple[str, ...]:
    soon = last_day is not None and last_day <= (today + SOON).isoformat()
    return (f"calibration due {last_day}",) if soon else ()


def _nearly_used_up(tool: Tool, pulls: int) -> tuple[str, ...]:
    most = tool.interval_pulls
    nearly = most is not None and (most - pulls) * 100 <= most * NEARLY_USED_UP
    return (f"{most - pulls} pulls left until calibration",) if most is not None and nearly else ()
