"""What can be wrong with an input, where, and how to mend it: faults forbid, doubts ask."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches

from clampbook.text import printable

# One sentence for each code; a code keeps its meaning for ever and is never used again for another.
# E1xx shape (file, TOML, types), E2xx meaning, D3xx daybook and ledger, W4xx doubts.
CODES: dict[str, str] = {
    "E261": "the id of a tool is not one",
    "E262": "a quantity of a tool is not in the unit of its scale",
    "E263": "the scale of a tool cannot be as it is written",
    "E264": "how a tool is wound down does not fit the rest",
    "E265": "a torque tool lacks the range or the resolution of its scale",
    "D301": "a line of a ledger is damaged and cannot be read",
    "D302": "the number of a line is not the one that is due",
    "D303": "a line was changed after it was written",
    "D304": "a line does not continue the line before it",
    "D305": "the last line is not the one known from elsewhere",
    "D306": "a line is not in the form in which lines are written",
}


@dataclass(frozen=True, slots=True)
class Fault:
    """Something that must be mended before the input is used.

    `key` is the path inside the file ("stage[2].to"), `found` and `allowed` are short, `text` is the whole sentence.
    `line` counts from 1; None where it is not known for sure.
    """

    path: str
    line: int | None
    key: str
    code: str
    found: str
    allowed: str
    text: str
    hint: str = ""


@dataclass(frozen=True, slots=True)
class Doubt:
    """A question about an input that can be used as it stands; never a correction. Fields as in Fault."""

    line: int | None
    key: str
    code: str
    text: str
    found: str = ""
    allowed: str = ""
    hint: str = ""
    path: str = ""


class Faulty(Exception):  # noqa: N818 - the word of the project
    """Raised by readers once everything was read: all faults of the input, in the order of its lines."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(show(fault) for fault in self.faults))


def show(fault: Fault | Doubt) -> str:
    """The fixed layout: `head.toml:14: E103: stage[2].to: what is wrong`, the hint on a line of its own.

    A line that is not known, an empty key and the path of a doubt that has none are left out.
    """
    first = ": ".join(printable(part) for part in (_where(fault), fault.code, fault.key, fault.text) if part)
    return f"{first}\n  hint: {printable(fault.hint)}" if fault.hint else first


def _where(fault: Fault | Doubt) -> str:
    if fault.line is None:
        return fault.path
    return f"{fault.path}:{fault.line}" if fault.path else f"line {fault.line}"


def as_data(fault: Fault | Doubt) -> dict[str, str | int | None]:
    """The same for `--json`; the key `file` holds the path."""
    return {
        "file": fault.path,
        "line": fault.line,
        "key": fault.key,
        "code": fault.code,
        "found": fault.found,
        "allowed": fault.allowed,
        "text": fault.text,
        "hint": fault.hint,
    }


def nearest(word: str, known: Iterable[str]) -> str | None:
    """The known word that `word` was probably meant to be, for "did you mean"; None where none is close."""
    by_lower = {candidate.lower(): candidate for candidate in known}
    close = get_close_matches(word[:100].lower(), by_lower, n=1, cutoff=0.6)
    return by_lower[close[0]] if close else None
