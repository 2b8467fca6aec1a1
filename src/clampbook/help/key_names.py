"""The keys of the keyboard by the names that people type when they look for one, and where a line tells of one."""

from __future__ import annotations

import re

_SIGNS = "+-*/?.,"
_SAME = {"escape": "esc", "bksp": "backspace", "page up": "pgup", "page down": "pgdn", "return": "enter"}
_NAMED = re.compile(r"f\d{1,2}|esc|tab|enter|backspace|pgup|pgdn|(?:ctrl|shift)[-+].+", re.IGNORECASE)


def key_meant(words: str) -> str | None:
    """The key of this name, as lines tell of it; None where it is the name of none."""
    typed = " ".join(words.casefold().split())
    name = _SAME.get(typed, typed)
    if name in tuple(_SIGNS):
        return name
    return name.replace("+", "-") if _NAMED.fullmatch(name) else None


def tells_of(key: str, text: str) -> int | None:
    """The place among the characters of a line at which it names the key; None where it does not."""
    plain = re.sub(r"^\s*- |\\", "", text)
    found = re.search(rf"(?<![^\s(,]){re.escape(key)}(?![^\s,.:)])", plain, re.IGNORECASE)
    return None if found is None else found.start()


def is_a_sign(key: str) -> bool:
    """True where the key writes a sign, which stands in many lines that are not about it."""
    return key in tuple(_SIGNS)
