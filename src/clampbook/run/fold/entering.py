"""The value that a person typed for a line, so that it can be named when it is corrected."""

from __future__ import annotations

from typing import assert_never

from clampbook.run import events as e
from clampbook.units import behind

_OF_A_NUMBER = frozenset("0123456789.,+- ")


def entered(event: e.Event) -> str | None:
    """The number with its unit, or the text; None where nothing was typed, as for a click."""
    if isinstance(event, e.Attested | e.ToldAlone):
        return None
    match event:
        case e.ReadingTaken() | e.PrevailingRead() | e.Measured() | e.Rechecked() | e.Corrected():
            return _with_unit(event.typed, event.value, event.unit)
        case e.Voided():
            return _with_unit(event.value, event.value, event.unit)
        case e.Turned():
            return _with_unit(event.typed, event.value, "°")
        case e.Asked() | e.PartRecorded():
            return event.typed
        case (
            e.Opened() | e.ToolTaken() | e.ToolZeroed() | e.ToolDropped() | e.ToolSuspected() | e.Clicked()
            | e.Confirmed() | e.Loosened() | e.BackedOff() | e.Skipped() | e.Broken() | e.Decided() | e.Paused()
            | e.Resumed() | e.StepState() | e.HandedOver() | e.Held() | e.SignedOff() | e.ProcedureWithdrawn()
            | e.SampleDrawn() | e.LeftBlank() | e.PaperTime()
        ):  # fmt: skip
            return None
        case _ as never:
            assert_never(never)


def _with_unit(typed: str | None, value: str | None, unit: str | None) -> str | None:
    """As typed, with its zeros; a unit that was not typed stands behind it."""
    if typed is None or value is None:
        return None
    if not _OF_A_NUMBER.issuperset(typed) and any(sign.isalpha() or sign == "°" for sign in typed):
        return typed
    return f"{typed}{behind(unit)}"
