"""The window of a recheck that names none: that of the tightening which it looks at again."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal

from msgspec.structs import replace

from clampbook.procedure.model import Recheck, Stage, Tighten, Window


def judged(stages: Iterable[Stage], before: Iterable[Stage] = ()) -> tuple[Stage, ...]:
    """The stages, each recheck with a window; `before` are those of the run that a follow-up looks at again.

    At the torque of the tightening the window is the tightening's own; at another torque it is as wide in proportion
    (common practice, no source). A recheck keeps no window where nothing before it tightens its group to a torque.
    """
    last: dict[str | None, dict[Decimal, Tighten]] = {}
    for stage in before:
        _remember(last, stage)
    found: list[Stage] = []
    for stage in stages:
        _remember(last, stage)
        if isinstance(stage, Recheck) and stage.window is None:
            window = _window(stage.target, last.get(stage.group, {}))
            stage = replace(stage, window=window, as_tightened=window is not None)
        found.append(stage)
    return tuple(found)


def _remember(last: dict[str | None, dict[Decimal, Tighten]], stage: Stage) -> None:
    if isinstance(stage, Tighten) and stage.target is not None and stage.stretch is None:
        of_group = last.setdefault(stage.group, {})
        of_group.pop(stage.target, None)
        of_group[stage.target] = stage


def _window(target: Decimal, tightened: dict[Decimal, Tighten]) -> Window | None:
    if not tightened:
        return None
    same = tightened.get(target)
    if same is not None:
        return same.window
    latest = list(tightened.values())[-1]
    assert latest.target is not None
    ratio, window = target / latest.target, latest.window
    low = None if window.low is None else _digits(window.low * ratio, ROUND_CEILING)
    high = None if window.high is None else _digits(window.high * ratio, ROUND_FLOOR)
    return replace(window, low=low, high=high)


def _digits(value: Decimal, towards: str) -> Decimal:
    """With four digits, so that an end that divides into no end can be read; rounded into the window."""
    return value.quantize(Decimal(1).scaleb(value.adjusted() - 3), towards).normalize()
