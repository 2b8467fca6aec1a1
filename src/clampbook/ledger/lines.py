"""The lines of a ledger as bytes: one canonical form, numbered from 1, each holding the hash of the line before."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Mapping
from typing import Any

import msgspec

from clampbook.ledger.refusals import LedgerFault

NOTHING_BEFORE = "0" * 64  # `prev` of line 1
UNREADABLE = (msgspec.DecodeError, UnicodeDecodeError, RecursionError)  # what damaged bytes raise in a decoder

_read_fields = msgspec.json.Decoder(dict[str, Any]).decode


def encode(fields: Mapping[str, object], seq: int, prev: str) -> bytes:
    """The one form of a line, without its newline: UTF-8 JSON, keys sorted by code point, no spaces.

    `seq` and `prev` take the place of any that `fields` may hold. Raises LedgerFault for text that is no Unicode.
    """
    try:
        return msgspec.json.encode({**fields, "seq": seq, "prev": prev}, order="sorted")
    except UnicodeEncodeError as error:
        raise LedgerFault("the text has half a character and cannot be saved. Type it again") from error


def telling(*events: str) -> re.Pattern[bytes]:
    """Give what finds the lines of these events by `search`, without reading them; far quicker than to look
    for each.
    """
    return re.compile(b'"event":"(?:' + "|".join(map(re.escape, events)).encode() + b')"')


def decode(line: bytes) -> dict[str, Any]:
    """The fields of a line. Raises LedgerFault for what is no JSON object."""
    try:
        return _read_fields(line)
    except UNREADABLE as error:
        raise LedgerFault("a line is damaged and cannot be read") from error


def in_form(line: bytes) -> bool:
    """True where these bytes are the very ones that `encode` makes of what they say."""
    try:
        return encoded(_read_fields(line)) == line
    except UNREADABLE:
        return False


def encoded(fields: Mapping[str, object]) -> bytes:
    """The bytes of a line that says this; `encode` numbers and chains it."""
    return msgspec.json.encode(fields, order="sorted")


def digest(line: bytes) -> str:
    """SHA-256 of a line without its newline, in lower-case hexadecimal."""
    return hashlib.sha256(line).hexdigest()


def split(data: bytes) -> tuple[list[bytes], bytes]:
    """The whole lines, and what stands after the last newline: the torn tail of a line that was never finished."""
    *whole, tail = data.split(b"\n")
    return whole, tail
