"""The only way in and out for foreign text: `clean` refuses what an eye cannot see, `printable` makes it seen."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable

# Categories of signs that steer the terminal, turn the writing direction, or show nothing: control, format,
# surrogate, private use, unassigned, line and paragraph separator.
_UNSEEN_CATEGORIES = frozenset({"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"})
# Letters and marks by category that show nothing all the same: grapheme joiner, Hangul and Khmer fillers,
# variation selectors, the empty Braille cell.
_UNSEEN_RANGES = (
    (0x034F, 0x034F),
    (0x115F, 0x1160),
    (0x17B4, 0x17B5),
    (0x180B, 0x180F),
    (0x2800, 0x2800),
    (0x3164, 0x3164),
    (0xFE00, 0xFE0F),
    (0xFFA0, 0xFFA0),
    (0xE0100, 0xE01EF),
)
_CONTROL_NAMES = {"\0": "null", "\a": "bell", "\b": "backspace", "\t": "tab", "\n": "line break", "\x1b": "escape"}
_BLANKS = " \t\r\n\u00a0\u1680\u2000\u2001\u2002\u2003\u2004\u2005\u2006\u2007\u2008\u2009\u200a\u202f\u205f\u3000"


class TextFault(ValueError):  # noqa: N818 - the word of the project
    """A text that is not taken; `sentence` says why and what to do."""

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence


def clean(text: str, *, what: str = "the text", most: int = 2000, lines: bool = False) -> str:
    """Foreign text as it is kept: composed (NFC), without outer blanks, every sign visible.

    `what` names the text in the sentence, `most` is its greatest length in characters, `lines` allows line breaks.
    Raises TextFault.
    """
    if len(text) > 4 * most + 1000:  # composing could not bring it back below `most`; spare the work
        raise TextFault(_too_long(what, most, len(text)))
    kept = unicodedata.normalize("NFC", text.replace("\r\n", "\n") if lines else text).strip(_BLANKS)
    for place, sign in enumerate(kept, start=1):
        if _unseen(sign) and not (lines and sign == "\n"):
            raise TextFault(f"{what} has {_named(sign)} at character {place}. Type it again without it")
    if len(kept) > most:
        raise TextFault(_too_long(what, most, len(kept)))
    return kept


def printable(text: str) -> str:
    """The text with every invisible sign written out as \\u{…}, on one line; never fails, lone surrogates included."""
    if _SEEN.issuperset(text):
        return text
    return "".join(f"\\u{{{ord(sign):x}}}" if _unseen(sign) else sign for sign in text)


def escaped(text: str, sign_as: Callable[[str], str] | None = None) -> str:
    """The text with every invisible sign but line breaks written out, so that JSON reads it back as that very sign."""
    escape = sign_as or in_json
    if _SEEN.issuperset(text.translate(_BREAKS)):
        return text
    return "".join(escape(sign) if sign != "\n" and _unseen(sign) else sign for sign in text)


def in_json(sign: str) -> str:
    """A sign as JSON writes it in ASCII: \\uXXXX, above the first plane as two of them."""
    code = ord(sign)
    if code < 0x10000:
        return f"\\u{code:04x}"
    return f"\\u{0xD800 + (code - 0x10000 >> 10):04x}\\u{0xDC00 + (code - 0x10000 & 0x3FF):04x}"


def in_toml(sign: str) -> str:
    """The same as TOML writes it."""
    return f"\\u{ord(sign):04x}" if ord(sign) < 0x10000 else f"\\U{ord(sign):08x}"


def _unseen(sign: str) -> bool:
    if " " <= sign <= "~":
        return False
    code = ord(sign)
    return unicodedata.category(sign) in _UNSEEN_CATEGORIES or any(low <= code <= high for low, high in _UNSEEN_RANGES)


# What most texts are made of, so that they need not be looked through sign by sign.
_SEEN = frozenset(map(chr, range(0x20, 0x7F))) | frozenset("°·±×−–…²µ½●○▸äöüßéèå")

_BREAKS = {0x0A: " "}


def _named(sign: str) -> str:
    name = _CONTROL_NAMES.get(sign) or unicodedata.name(sign, "").lower()
    written = f"\\u{{{ord(sign):x}}}"
    return f"a character that cannot be seen, {written}" + (f" ({name})," if name else ",")


def _too_long(what: str, most: int, found: int) -> str:
    return f"{what} has {found} characters, and may have {most}. Shorten it"


def quoted(text: str, most: int = 60) -> str:
    """Foreign text as it stands in a sentence: between “ ”, on one line, every sign visible, cut where it is long."""
    return f"“{printable(text[:most])}…”" if len(text) > most else f"“{printable(text)}”"


_STAYS_SMALL = re.compile(r"clampbook |[a-z_-]+\.[a-z]")
_ENDS_IN_A_COMMAND = re.compile(r": clampbook [^.?!:]+$")


def started(words: str) -> str:
    """With a capital letter in front."""
    return words[:1].upper() + words[1:]


def as_sentence(words: str) -> str:
    """Words that follow a name or a colon, as a sentence of their own: a capital in front, one full stop at the end.

    A command or a file's name in front stays as it is, and so does a question, or a command at the end to be copied.
    """
    return ended(words if _STAYS_SMALL.match(words) else started(words))


def ended(words: str) -> str:
    """The same without a change in front, for words behind a place and its colon."""
    return words if words.endswith("?") or _ENDS_IN_A_COMMAND.search(words) else f"{words.rstrip('.')}."


def grouped(fingerprint: str) -> str:
    """In groups of four, so that two people can compare it aloud."""
    return " ".join(fingerprint[at : at + 4] for at in range(0, len(fingerprint), 4))


def counted(count: int, what: str, several: str = "") -> str:
    """ "1 reading", "2 readings"; of a word with another plural that is handed in: "2 entries"."""
    return f"{count} {what if count == 1 else several or f'{what}s'}"
