"""Fasteners of one group that differ in their length alone, told apart by a word: "short", "long"."""

from __future__ import annotations

import re
from decimal import Decimal
from functools import lru_cache

from clampbook.procedure.model import Group

_LENGTH = re.compile(r"(.*\S)\s*[x×]\s*(\d+(?:\.\d+)?)\s*(?:mm)?\s*", re.IGNORECASE)
_WORDS = {2: ("short", "long"), 3: ("short", "middle", "long")}


def kind(group: Group, position: str) -> str:
    """Give the word for the fastener at a position; nothing where there is one kind, or they differ in more."""
    fit = group.fits.get(position)
    return "" if fit is None else _by_length(frozenset(group.fits.values())).get(fit, "")


@lru_cache(maxsize=64)
def _by_length(fits: frozenset[str]) -> dict[str, str]:
    found = {fit: _LENGTH.fullmatch(fit) for fit in fits}
    lengths = {fit: (each[1], Decimal(each[2])) for fit, each in found.items() if each is not None}
    in_order = sorted(lengths, key=lambda fit: lengths[fit][1])
    if len(lengths) < len(fits) or len({thread for thread, _ in lengths.values()}) > 1:
        return {}
    if len({length for _, length in lengths.values()}) < len(fits):
        return {}
    return dict(zip(in_order, _WORDS.get(len(fits), ()), strict=False))
