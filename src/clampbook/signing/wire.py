"""The building blocks of the SSH formats: texts with their length in front (RFC 4251, section 5)."""

from __future__ import annotations

from clampbook.text import printable

_MOST = 65_536  # bytes of one text; nothing that is read here is longer


class KeyFault(Exception):  # noqa: N818 - what it carries is a fault of a key or a signature
    """A key or a signature cannot be used; `sentence` says why and what to do."""

    def __init__(self, sentence: str) -> None:
        self.sentence = printable(sentence)  # it may quote what was found in a file
        super().__init__(self.sentence)


def string(data: bytes) -> bytes:
    """A text with its length in front."""
    return len(data).to_bytes(4) + data


def number(value: int) -> bytes:
    """A whole number as four bytes."""
    return value.to_bytes(4)


class Reader:
    """Reads texts and numbers from the front of some bytes. Raises KeyFault where they end too soon."""

    def __init__(self, data: bytes) -> None:
        self._rest = data

    def exactly(self, wanted: bytes) -> None:
        """The very bytes that must stand here."""
        if self._take(len(wanted)) != wanted:
            raise KeyFault("it does not begin as it must")

    def number(self) -> int:
        """A whole number."""
        return int.from_bytes(self._take(4))

    def string(self) -> bytes:
        """A text without its length."""
        length = self.number()
        if length > _MOST:
            raise KeyFault("a part of it is longer than any can be")
        return self._take(length)

    def end(self) -> None:
        """Nothing may follow."""
        if self._rest:
            raise KeyFault("more bytes follow than belong to it")

    def _take(self, count: int) -> bytes:
        taken, self._rest = self._rest[:count], self._rest[count:]
        if len(taken) != count:
            raise KeyFault("it ends too soon")
        return taken
