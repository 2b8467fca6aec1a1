"""Short names made from what people type, for ids and folders: lower-case letters and digits, joined by hyphens."""

from __future__ import annotations

import base64
import os
import re
import unicodedata
from collections.abc import Container

MOST = 40


def slug(text: str, otherwise: str) -> str:
    """The text in plain letters, accents dropped ("Zoë B." is zoe-b); `otherwise` where no letter is left."""
    plain = unicodedata.normalize("NFKD", text.casefold()).encode("ascii", "ignore").decode()
    return re.sub("[^a-z0-9]+", "-", plain).strip("-")[:MOST].strip("-") or otherwise


def unique(name: str, taken: Container[str]) -> str:
    """The name itself, or with the first number from 2 on that makes it one of its own: ines, ines-2, ines-3."""
    if name not in taken:
        return name
    number = 2
    while f"{name}-{number}" in taken:
        number += 1
    return f"{name}-{number}"


def is_slug(text: str) -> bool:
    """True where a text can be an id as it stands."""
    return re.fullmatch(rf"[a-z0-9](?:[a-z0-9-]{{0,{MOST - 2}}}[a-z0-9])?", text) is not None


def drawn() -> str:
    """Eight random letters and digits (a–z, 2–7), forty bits that nobody else has drawn."""
    return base64.b32encode(os.urandom(5)).decode().lower()
