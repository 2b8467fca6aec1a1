"""Signatures of a run that nobody can give any more: whose they were, who gave them up, when and why.

They stand in a file of their own, under the seal, since they are known only after the facts may have been signed.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable

import msgspec
import tomli_w
from msgspec import Struct

from clampbook.people import Person
from clampbook.record.sealed.dues import Due
from clampbook.record.sealed.names import GIVEN_UP
from clampbook.work.frozen import RecordFault

_HEAD = "# Signatures that were announced and can never be given: who gave them up, and why.\n\n"


class GivenUp(Struct, frozen=True, kw_only=True):
    """One signature that was given up, by its number and the line that announced it; `at` is with its zone."""

    number: int
    line: int
    person: Person
    meaning: str
    by: Person
    because: str
    at: str

    @property
    def told(self) -> str:
        """The words for who gave it up and why."""
        return f"skipped by {self.by.name}: {self.because}"


class _File(Struct, frozen=True):
    given_up: tuple[GivenUp, ...]


def given_up(due: Due, by: Person, because: str, at: str) -> GivenUp:
    """A signature that somebody gives up."""
    return GivenUp(
        number=due.number, line=due.line, person=due.person, meaning=due.meaning, by=by, because=because, at=at
    )


def of_the_seal(by: Person, because: str, at: str) -> GivenUp:
    """The signature of the seal, where whoever could have given it has no key any more."""
    return GivenUp(number=0, line=0, person=by, meaning="the seal", by=by, because=because, at=at)


def written(those: Iterable[GivenUp]) -> bytes:
    """The file that tells of them."""
    return (_HEAD + tomli_w.dumps({"given_up": [msgspec.to_builtins(each) for each in those]})).encode()


def read(data: bytes | None) -> tuple[GivenUp, ...]:
    """Those that a file tells of; none where there is no file. Raises RecordFault where it is not as it is written."""
    if data is None:
        return ()
    try:
        found = msgspec.convert(tomllib.loads(data.decode()), _File).given_up
    except (UnicodeDecodeError, tomllib.TOMLDecodeError, msgspec.ValidationError, RecursionError) as error:
        raise RecordFault(f"{GIVEN_UP} cannot be read ({error}).") from error
    if written(found) != data:
        raise RecordFault(f"{GIVEN_UP} is not in the form in which it is written.")
    return found
