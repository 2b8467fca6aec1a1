"""The findings of verifying a run, or a check, as a value and in words."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from datetime import datetime

from msgspec import Struct

from clampbook.faults import Fault, show
from clampbook.ledger.formats import BEFORE
from clampbook.record.sealed.signed import Signed
from clampbook.record.sealed.typed import Typed
from clampbook.text import printable

SEALED, NOT_SEALED, CLOSED = "sealed", "closed, not sealed", "closed"


SAID_ONLY = ("S517", "S521")  # not sealed yet, made before this format: nothing of it is found wrong


_LESS = {  # nothing was changed, and it is worth less than it seems
    "S524": "signatures skipped: there it proves no more than typed names",
    "S529": "signatures by a key that others may have had by then",
}


class Soundness(Struct, frozen=True):
    """The findings of verifying a run. `state` is how it stands: sealed, closed and not sealed, given up, open.

    `left_over`: files that a killed program left half written in its folder; nothing is wrong with it for that.
    """

    run: str
    state: str
    faults: tuple[Fault, ...] = ()
    signed: tuple[Signed, ...] = ()
    left_over: tuple[str, ...] = ()
    seal: Signed | None = None
    typed: tuple[Typed, ...] = ()

    @property
    def sound(self) -> bool:
        """True where nothing at all is wrong with it."""
        return not self.faults

    @property
    def checked(self) -> bool:
        """True where it was looked at; what an earlier format holds is not, and nothing is said against it."""
        return not any(each.code == "S521" for each in self.faults)


class Looked(Struct, frozen=True):
    """The findings about a folder of this name within the book, and what names its bytes (empty where they could not
    be read). `before`: when it was worked out, where that was before this pass."""

    where: str
    sum: str
    found: Soundness
    before: datetime | None = None


def has_problems(found: Soundness) -> bool:
    """True where something was changed, is missing or does not fit."""
    return any(each.code not in (*SAID_ONLY, *_LESS) for each in found.faults)


def in_words(found: Soundness) -> str:
    """Tell in a few words how intact a run is."""
    if not found.checked:
        return f"{found.state}, {BEFORE}"
    if found.faults and all(each.code == "S517" for each in found.faults):
        return f"{found.state}: lines and record intact, not yet sealed"
    codes = Counter(each.code for each in found.faults)
    if codes and set(codes) <= set(_LESS):
        return (
            f"{found.state}, with {'; '.join(f'{codes[code]} {said}' for code, said in _LESS.items() if codes[code])}"
        )
    if found.faults:
        count = len(found.faults)
        return f"{found.state}: {count} {'problem' if count == 1 else 'problems'}"
    if found.state != SEALED:
        return f"{found.state}: lines and record intact"
    count = len(found.signed)
    return f"sealed, intact: {f'{count} signature' + 's' * (count > 1) if found.signed else 'typed names'}"


def in_sentences(found: Soundness) -> Iterator[str]:
    """The same at length: what does not fit, and each signature that holds with how far its key is known."""
    yield f"{found.run}: {in_words(found)}"
    if not found.checked:
        return
    yield from (f"  {line}" for each in found.faults for line in show(each).splitlines())
    for signed in found.signed:
        when = f"{signed.at:%Y-%m-%d %H:%M} {signed.at:%z}"
        yield f"  signed by {signed.name}, {signed.meaning}, {when}, key {signed.key}, {signed.known}"
    yield from (f"  {_typed(each)}, {printable(each.meaning)}, line {each.line}" for each in found.typed)
    if found.seal is not None:
        when = f"{found.seal.at:%Y-%m-%d %H:%M} {found.seal.at:%z}"
        yield f"  sealed by {found.seal.name}, {when}, key {found.seal.key}, {found.seal.known}"
    for name in found.left_over:
        yield f"  left over: {printable(name)}, half written when a program was stopped. It is not part of this record."


def _typed(each: Typed) -> str:
    """Tell who vouched without a key, and how."""
    if each.person is None:
        return "nobody signed"
    how = "name on the form" if each.on_form else "typed name"
    return f"{how}, no key: {printable(each.person.name)} ({printable(each.person.id)})"
