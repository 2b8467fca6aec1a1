"""Outcomes of an answer that is no event, in a run as in a check."""

from __future__ import annotations

from msgspec import Struct


class Unsure(Struct, frozen=True):
    """The value may be a slip; asked again openly. `unusual` says why, without offering the value that would fit;
    `code` is the kind of unusual value and `step` what it was asked at, where that matters."""

    unusual: str
    code: str
    step: str = ""


class Refused(Struct, frozen=True):
    """The answer does not fit; a sentence says what does."""

    sentence: str
