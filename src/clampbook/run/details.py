"""The short lines under the sentence: what it means at the bolt, the window, what was before, and where in the work."""

from __future__ import annotations

from decimal import Decimal
from typing import assert_never

from clampbook.figures import beside, narrowed, step_of
from clampbook.run import kinds
from clampbook.run.care import at_take_up
from clampbook.run.prompts import (
    Decide,
    Ended,
    Finished,
    OfTheWork,
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
from clampbook.run.told.torques import lever_line, mark_line, target_line, window_line
from clampbook.run.verdict import Judged
from clampbook.units import convert, show_window

_ORDER = "best first, else as in tools.toml"


def details(prompt: Prompt) -> tuple[str, ...]:
    """What a person may want to know before answering, one matter a line, the place in the work last."""
    where = where_of(prompt)
    return (*_matters(prompt), *(() if where is None else _of_the_step(where)))


def where_of(prompt: Prompt) -> Where | None:
    """The place in the work of a prompt; None where it has none."""
    if isinstance(prompt, OfTheWork):
        return prompt.where
    match prompt:
        case TakeTool() | SetTool() | ZeroTool() | StepState() | Decide():
            return prompt.where
        case StartSheet() | ReturnTool() | SignOff() | Finished() | Ended():
            return None
        case _ as never:
            assert_never(never)


def _matters(prompt: Prompt) -> tuple[str, ...]:
    if isinstance(prompt, kinds.Asked):
        return kinds.of(prompt).words(prompt).matters
    match prompt:
        case StartSheet():
            return _on_the_sheet(prompt)
        case SetTool(finished_before=True):
            return ()
        case SetTool(aim=aim):
            care = at_take_up(aim.tool) if prompt.first else ()
            return (
                *target_line(aim),
                *mark_line(aim),
                window_line(aim.window, aim.unit),
                *lever_line(aim),
                *aim.despite,
                *care,
            )
        case TakeTool(offers=offers, unread=unread):
            several = sum(offer.cannot is None for offer in offers) > 1
            return (*((_ORDER,) if several else ()), *((unread,) if unread is not None else ()))
        case Decide():
            return _decide(prompt)
        case Finished(deviations=count):  # no number: the record counts lines, and finds more than is asked about
            return ("not all was as the sheet wants it: the record says what",) if count else ()
        case ZeroTool() | ReturnTool() | StepState() | SignOff() | Ended():
            return ()
        case _ as never:
            assert_never(never)


def _on_the_sheet(prompt: StartSheet) -> tuple[str, ...]:
    ask = prompt.ask
    if prompt.last is not None:
        return (f"last time: {prompt.last}", *prompt.notices)
    if ask is not None and ask.answer == "number" and (ask.low is not None or ask.high is not None):
        return (f"limits: {show_window(ask.low, ask.high, ask.unit or '')}".rstrip(), *prompt.notices)
    return (*prompt.lines, *prompt.notices)


def _decide(prompt: Decide) -> tuple[str, ...]:
    """The window that judged, first in the unit of what was found, so that the two can be compared."""
    judged = prompt.judged
    if judged is None:
        return () if prompt.window is None or prompt.unit is None else (window_line(prompt.window, prompt.unit),)
    typed, unit = judged.typed, judged.typed_unit
    as_read = (typed, unit) == (judged.shown, judged.unit)
    shown, window = beside(judged.shown, judged.window, judged.unit, typed=as_read)
    if as_read:
        return (f"window: {window}",)
    if unit == judged.unit == "°":  # the stroke was typed, all of the turn is judged
        return (f"window: {window}", f"turned in all: {shown}")
    if typed is None or unit is None:  # a click: nothing was read, but that is what it is worth
        return (f"window: {window}", f"at the bolt: {shown}")
    return (f"window: {_where_read(judged, typed, unit)} ({window})", f"at the bolt: {shown}")


def _where_read(judged: Judged, typed: Decimal, unit: str) -> str:
    """The window in the unit that was read, with as many digits as the reading has, so that they can be compared."""
    reach = judged.reach
    low, high = (None if end is None else convert(reach.on_tool(end), judged.unit, unit) for end in judged.window)
    step = step_of(low, high, unit, Decimal(1).scaleb(int(typed.as_tuple().exponent)))

    def there(value: Decimal) -> Decimal:
        return reach.at_fastener(convert(value, unit, judged.unit))

    return show_window(*narrowed(judged.window, (low, high), there, step), unit, exact=True)


def _of_the_step(where: Where) -> tuple[str, ...]:
    lines = [line for line in (where.fits and f"fastener: {where.fits}", where.note) if line]
    if where.begun_again:
        lines.append(f"taken from the beginning, attempt {where.begun_again + 1}")
    if where.sheet:
        lines.append(f"sheet: {where.sheet}")
    return (*lines, step_line(where))


def step_line(where: Where) -> str:
    """ "step 3 of 54, stage 1", and for inserted work "again 2 of 3" with what it was inserted for."""
    line = f"step {where.number} of {where.of}, stage {where.stage}"
    if where.again is not None:
        line += f", again {where.again[0]} of {where.again[1]}"
    return f"{line} ({where.reason})" if where.reason else line
