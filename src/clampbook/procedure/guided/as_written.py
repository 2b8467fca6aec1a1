"""Answers as manuals write them, and as a file has them: rounds in one line, and hours that something ran."""

from __future__ import annotations

import re
from dataclasses import replace

from clampbook.procedure.guided.answers import NOTHING
from clampbook.procedure.guided.page import unit_of

_A_NUMBER = r"\d+(?:[.,]\d+)?"
_AS_A_LIST = re.compile(r"(?<!\d)[,;]|[,;](?!\d)")  # a comma between digits belongs to the number
_DASHED = re.compile(r"\s*[-–−]\s*")
_NUMBER = re.compile(_A_NUMBER)
_SHARE = re.compile(rf"{_A_NUMBER}\s*%")
_SLASHED = re.compile(rf"\s*{_A_NUMBER}\s*(?!turns?\b)(?:[^\W\d_][^\d/]*|%)?", re.IGNORECASE)
_RAN = re.compile(
    rf"({_A_NUMBER})\s*(?:(?:h|hours?)(?:\s+of)?\s+(?:running|operation|work)|(?:running|operating|engine)\s+hours?)",
    re.IGNORECASE,
)


def listed(text: str, between: str) -> tuple[str, ...]:
    """The texts of one line with this sign between them."""
    pieces = text.split(between) if between != "," else _AS_A_LIST.split(text)
    return tuple(piece.strip() for piece in pieces if piece.strip())


def rounds(text: str, target: str | None, unit: str | None = None) -> tuple[str, ...]:
    """Rounds as a manual lists them, 10, 18, 24 N·m or 10/18/24 N·m: a number alone has the unit of the last, else that
    of the target, else the one in which the book has torques. A slash within a turn is a fraction."""
    apart = text.split("/")
    slashed = len(apart) > 1 and all(_SLASHED.fullmatch(each) for each in apart)
    found = listed(text, "/" if slashed else ",")
    last = found[-1] if found else ""
    unit = "%" if _SHARE.fullmatch(last) else _unit(last) or _unit(target) or unit
    return tuple(with_unit(each, unit) for each in found)


def with_unit(text: str, unit: str | None) -> str:
    """A number alone with its unit, where one is known."""
    return text if unit is None or not _NUMBER.fullmatch(text) else f"{text} {unit}"


def in_order(text: str, labels: tuple[str, ...]) -> str:
    """Positions with dashes between them, 1-4-2-5-3-6, as a file lists them; one dash alone is a range."""
    apart = _DASHED.split(text)
    return ", ".join(apart) if len(apart) > 2 and all(each in labels for each in apart) else text


def hours_run(text: str) -> str | None:
    """The same hours as a file has them, where the words say that something ran so long; None where they do not."""
    found = _RAN.fullmatch(text)
    return f"{found[1]} h" if found else None


def _unit(torque: str | None) -> str | None:
    return unit_of(replace(NOTHING, target=torque))
