"""The sample that an inspector draws: the order of chance, which positions are in it, and how it grows.

Anybody can draw it again: the seed is the SHA-256 of the hash of the daybook's last line, a blank and the number that
was typed; positions come in the order of the SHA-256 of that seed, a blank and their label.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from hashlib import sha256

from msgspec import Struct
from msgspec.structs import replace

from clampbook.people import Person
from clampbook.procedure.model import AfterFailure


class Drawn(Struct, frozen=True, kw_only=True):
    """A sample: all positions of its stage in the order of chance, of which the first `size` are looked at.

    Each time one fails of those from `since` on, as many are added as were drawn at first (`step`), or all.
    """

    order: tuple[str, ...]
    size: int
    step: int
    then: AfterFailure
    inspector: Person
    reason: str | None = None  # why the inspector is no other person
    since: int = 0
    chosen: frozenset[str] = frozenset()  # the first `size` of `order`

    @property
    def added(self) -> int:
        """So many more are looked at than were drawn at first."""
        return self.size - self.step


def in_order(head: str, number: str, positions: Iterable[str]) -> tuple[str, ...]:
    """Positions in the order of chance; `head` is the hash of the line before, in hexadecimal."""
    seed = _digest(f"{head} {number}")
    return tuple(sorted(positions, key=lambda position: _digest(f"{seed} {position}")))


def _digest(text: str) -> str:
    return sha256(text.encode()).hexdigest()


def drawn(order: tuple[str, ...], size: int, then: AfterFailure, inspector: Person, reason: str | None) -> Drawn:
    """The first `size` of an order."""
    return Drawn(
        order=order,
        size=size,
        step=size,
        then=then,
        inspector=inspector,
        reason=reason,
        chosen=frozenset(order[:size]),
    )


def after_failure(sample: Drawn, failed: Sequence[str]) -> Drawn:
    """The sample after these positions failed; what failed before those added last has brought them already."""
    if not any(position in sample.order[sample.since : sample.size] for position in failed):
        return sample
    most = len(sample.order)
    size = most if sample.then == "all" else min(most, sample.size + sample.step)
    return replace(sample, size=size, since=sample.size, chosen=frozenset(sample.order[:size]))
