"""The keys of a book's people: whose, since when, until when."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, datetime

from msgspec import Struct

from clampbook.signing.public import PublicKey


class HeldKey(Struct, frozen=True):
    """A key of a person, valid from `added` until `withdrawn`, both in UTC. `known_since`: others may have had it from
    then on, as whoever withdrew it said."""

    person: str
    key: PublicKey
    added: datetime
    withdrawn: datetime | None = None
    why: str | None = None
    known_since: datetime | None = None

    def valid(self, at: datetime) -> bool:
        """True where it could be signed with at this time; a withdrawn key at no time after."""
        return self.added <= at and (self.withdrawn is None or at <= self.withdrawn)


def in_use(keys: Iterable[HeldKey]) -> dict[str, HeldKey]:
    """The key that each person signs with now, by the person's id."""
    return {each.person: each for each in keys if each.withdrawn is None}


def second(at: datetime) -> datetime:
    """A time in UTC without parts of a second, as it stands beside keys: rounded down."""
    return at.astimezone(UTC).replace(microsecond=0)


def moment(text: object) -> datetime | None:
    """A time as a log writes it; None for what is none."""
    try:
        return second(datetime.fromisoformat(str(text)))
    except ValueError:
        return None


def written(at: datetime) -> str:
    """The same as text: "2026-03-02T09:14:07Z"."""
    return second(at).isoformat().replace("+00:00", "Z")
