"""Refusal of what the mechanics cannot take: an unknown name or an impossible figure, told in one sentence."""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches

_SHOWN = 4


class JointFault(ValueError):  # noqa: N818 - the word of the project
    """Something about a joint that cannot be; `sentence` says what, what is allowed, what to do."""

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence


def nearest(typed: str, known: Iterable[str]) -> str:
    """The known names that look most like what was typed, or the first few: "8.8, 9.8 or 10.9"."""
    names = {name.upper(): name for name in known}
    alike = [names[found] for found in get_close_matches(typed.strip().upper(), names, _SHOWN, 0.4)]
    found = alike or list(names.values())
    *most, last = found[:_SHOWN]
    return f"{', '.join(most)} or {last}" if most else last


def above_zero(what: str, value: float) -> float:
    """The value, where it is a number above zero; raises JointFault with a sentence about `what` otherwise."""
    if not 0 < value < float("inf"):
        raise JointFault(f"{what} of {value:g} is not possible. It must be above zero.")
    return value
