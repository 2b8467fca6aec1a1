"""The people of a book: who did what is kept by id, so that two people of one name stay two people."""

from __future__ import annotations

from msgspec import Struct


class Person(Struct, frozen=True):
    """One person: `id` is lower-case and never used for another, `name` is as the person typed it."""

    id: str
    name: str
