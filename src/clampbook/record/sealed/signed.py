"""A signature that was found to hold."""

from __future__ import annotations

from datetime import datetime

from msgspec import Struct

OUTSIDE, ONLY_HERE = "vouched for from outside", "found only in this book"


class Signed(Struct, frozen=True):
    """A signature that fits: whose, what it means, when it was given, with which key, and how far that is known.

    Number 0 is that of the seal.
    """

    number: int
    person: str
    name: str
    meaning: str
    at: datetime
    key: str
    trusted: bool

    @property
    def known(self) -> str:
        """The way that the key is known, in words."""
        return OUTSIDE if self.trusted else ONLY_HERE
