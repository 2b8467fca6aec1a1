"""In what state a tool is on a day: fit, check due, calibration past or ahead, withdrawn, out of service after a failed
check; and what falls due when."""

from __future__ import annotations

import calendar
from collections.abc import Iterable
from datetime import date, timedelta
from decimal import Decimal
from typing import Literal

from msgspec import Struct

from clampbook.tools.model import WORKING, LastCheck, Stock, Tool, Trouble, Use
from clampbook.tools.permitted import signed

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
SOON = timedelta(days=30)  # before its calibration ends a tool is named (common practice, no source)
NEARLY_USED_UP = 10  # percent of its cycles that are left when it is said (common practice, no source)


class State(Struct, frozen=True):
    """The word, and all that speaks for it in clauses that follow the tool's name; `due` is the next day due.

    A fit tool has clauses too where something falls due soon. Of what speaks for it `against` wants a reason before it
    is taken, and `causes` has a lasting word for each of these; `notes` only want to be known. `last` is True where
    something happened to the tool: then all others that want a reason go before it.
    """

    word: StateWord
    because: tuple[str, ...] = ()
    due: str | None = None
    against: tuple[str, ...] = ()
    causes: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    last: bool = False

    @property
    def fit(self) -> bool:
        """True where nothing speaks against taking the tool."""
        return self.word == "fit"

    @property
    def out(self) -> bool:
        """True of a tool that failed its check: no reason is good enough to take it before one passes."""
        return self.word == "out of service"

    def says(self, name: str) -> str:
        """The state as one line: "W2: calibration past (calibration was due on 2026-02-01)"."""
        return f"{name}: {self.word}" + (f" ({'; '.join(self.because)})" if self.because else "")


class Due(Struct, frozen=True):
    """Something that a tool wants by a day (ISO 8601); `past` where that day, or a count, is over already."""

    tool: Tool
    what: str
    on: str | None
    past: bool

    @property
    def says(self) -> str:
        """The whole as one line: "W7: calibration was due on 2026-02-01", "W9: check is due: nothing is known"."""
        what, _, why = self.what.partition(": ")
        told = f"{self.tool.name}: {what} {'was' if self.past and not why else 'is'} due"
        return told + (f" on {self.on}" if self.on is not None else "") + (f": {why}" if why else "")


def state(tool: Tool, today: date, use: Use | None = None) -> State:
    """The state of a tool on a day. Marks and gauges without any calibration are fit."""
    known = use or Use()
    last_day = due_on(tool)
    happened = unchecked(tool, known.troubles)
    heavy = [*_out_of_use(tool, known), *_calibration(tool, last_day, today, known.cycles)]
    noted = list(_check(tool, known))
    found = [*heavy, *(("check due", f"{each.says}, use needs a reason") for each in happened), *noted]
    changed = _changed(known)
    if not found:
        soon = (*changed, *_soon(tool, last_day, today, known.cycles))
        return State("fit", soon, last_day, notes=soon)
    word = min((word for word, _ in found), key=STATES.index)
    return State(
        word,
        (*(told for _, told in found), *changed),
        last_day,
        against=(*(told for _, told in heavy), *(each.against for each in happened)),
        causes=(*(word for word, _ in heavy), *(each.cause for each in happened)),
        notes=(*(told for _, told in noted), *changed),
        last=bool(happened) or word in ("out of service", "withdrawn"),
    )


def _changed(use: Use) -> tuple[str, ...]:
    was = use.serial_was
    return () if was is None else (f"its serial number was {was}: is it the same tool?",)


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
    if not past and tool.interval_cycles is not None and use.cycles >= tool.interval_cycles:
        yield Due(tool, f"calibration after {use.cycles} pulls", None, past=True)
    elif day is not None and day <= until:
        yield Due(tool, "calibration", day, past)
    for told in (*(each.says for each in unchecked(tool, use.troubles)), *(told for _, told in _check(tool, use))):
        yield Due(tool, f"check: {told}", None, past=True)


def _out_of_use(tool: Tool, use: Use) -> Iterable[tuple[StateWord, str]]:
    if tool.withdrawn is not None:
        yield "withdrawn", f"withdrawn on {tool.withdrawn.on}: {tool.withdrawn.reason}"
    failed = use.failed
    if failed is not None:
        yield "out of service", failed_words(failed, tool.permissible_deviation)


def failed_words(failed: LastCheck, permissible: Decimal | None) -> str:
    """ "failed its check, off by +6.10 %"; what is permitted, in percent, keeps that from being rounded across it."""
    return "failed its check" + ("" if failed.worst is None else f", off by {signed(failed.worst, permissible)}")


def _calibration(tool: Tool, last_day: str | None, today: date, cycles: int) -> Iterable[tuple[StateWord, str]]:
    if last_day is not None and last_day < today.isoformat():
        yield "calibration past", f"calibration was due on {last_day}"
    if lies_ahead(tool, today):
        told = f"calibration date lies ahead: {tool.calibrated_on} is written, and today is {today.isoformat()}"
        yield "calibration ahead", told
    if tool.interval_cycles is not None and cycles >= tool.interval_cycles:
        yield "calibration past", f"{cycles} pulls since its calibration, and {tool.interval_cycles} are allowed"


def _check(tool: Tool, use: Use) -> Iterable[tuple[StateWord, str]]:
    """A check is due where nothing says that the tool was ever right, or where the last one could not say it."""
    check = use.last_check
    if check is not None and check.verdict == "cannot be decided":
        yield "check due", f"its check on {check.on} could not decide"
    if tool.kind in ("angle gauge", "marks") or check is not None:
        return
    if tool.calibrated_on is None and tool.calibration_due is None:
        yield "check due", "no calibration and no check of it are known"


def _soon(tool: Tool, last_day: str | None, today: date, cycles: int) -> tuple[str, ...]:
    found: list[str] = []
    if last_day is not None and last_day <= (today + SOON).isoformat():
        found.append(f"calibration is due on {last_day}")
    most = tool.interval_cycles
    if most is not None and (most - cycles) * 100 <= most * NEARLY_USED_UP:
        found.append(f"{most - cycles} pulls are left until its calibration")
    return tuple(found)
