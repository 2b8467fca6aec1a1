"""The slips found while reading, by their key paths in the data; lines are looked up only once all is read."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from itertools import islice

from clampbook.faults import Fault, nearest
from clampbook.text import printable, quoted

KeyPath = tuple[str | int, ...]
"""Keys and places in lists as Python counts them: ("stage", 0, "to") is the first stage's `to`."""

_SHOWN = 60
_SINGULAR = {"steps": "step", "follow_up": "follow-up"}
_COMPARED = 100


@dataclass(frozen=True, slots=True)
class Slip:
    """One thing wrong at a key path; `code` is one of `codes`."""

    at: KeyPath
    code: str
    text: str
    found: str = ""
    allowed: str = ""
    hint: str = ""


@dataclass(frozen=True, slots=True)
class Slips:
    """The slips of one file while it is read; every step of reading adds to it and goes on as well as it can.

    `unread`: keys that are there and were taken out, because what they hold has a slip. None of them is missing.
    """

    found: list[Slip] = field(default_factory=list)
    unread: set[KeyPath] = field(default_factory=set)

    def add(self, code: str, at: KeyPath, text: str, *, found: str = "", allowed: str = "", hint: str = "") -> None:
        """Keep one more slip."""
        self.found.append(Slip(at, code, text, short(found), allowed, hint))


def key_text(at: KeyPath) -> str:
    """A key path as people read it, counted from 1: `stage[2].to`; keys that are not plain words stand in quotes."""
    parts: list[str] = []
    for part in at:
        if isinstance(part, int):
            parts.append(f"[{part + 1}]")
        else:
            parts.append(f"{'.' if parts else ''}{_word(part)}")
    return "".join(parts)


def short(text: str) -> str:
    """Foreign text on one line, cut where it is long."""
    shown = printable(text[: _SHOWN + 1])
    return shown if len(text) <= _SHOWN else f"{printable(text[:_SHOWN])}…"


def spoken(at: KeyPath) -> str:
    """The table at a key path as people call it: "stage 2", "step 1 of stage 3", "the top of the file"."""
    parts: list[str] = []
    for part in at:
        if isinstance(part, int) and parts:
            parts[-1] = f"{_SINGULAR.get(parts[-1], parts[-1])} {part + 1}"
        else:
            parts.append(short(str(part)))
    return " of ".join(reversed(parts)) or "the top of the file"


def either(words: tuple[str, ...] | list[str]) -> str:
    """Words as a choice, each in the quotes of TOML: "a", "b" or "c"."""
    shown = [f'"{short(word)}"' for word in words]
    return shown[0] if len(shown) == 1 else f"{', '.join(shown[:-1])} or {shown[-1]}"


def did_you_mean(word: str, known: Iterable[str]) -> str:
    """The hint that offers the nearest of the known names, or ""; of very many only some are compared."""
    close = nearest(word, islice(known, _COMPARED))
    return "" if close is None else offered(close)


def offered(close: str) -> str:
    """The question whether this was meant; what would not stand out as one word stands between “ ”."""
    return f"did you mean {short(close) if close.replace('_', '').isalnum() else quoted(close)}?"


def as_faults(slips: Slips, path: str, line_of: Callable[[KeyPath], int | None]) -> list[Fault]:
    """The slips as faults in the order of their lines; those without a line come last."""
    faults = [
        Fault(
            path=path,
            line=line_of(slip.at),
            key=key_text(slip.at),
            code=str(slip.code),
            found=slip.found,
            allowed=slip.allowed,
            text=slip.text,
            hint=slip.hint,
        )
        for slip in slips.found
    ]
    return sorted(faults, key=lambda fault: (fault.line is None, fault.line or 0))


def _word(key: str) -> str:
    plain = key.replace("_", "").replace("-", "").isalnum() and key.isascii()
    return key if plain else f'"{short(key)}"'
