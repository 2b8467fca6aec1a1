"""Standard input and output, whatever they are: closed, full, or in an encoding that lacks half of our signs.

Everything that is printed goes through here, so that nothing that was found in a book steers a terminal, and so that
output that cannot be written ends a command with a sentence.
"""

from __future__ import annotations

import contextlib
import errno
import io
import os
import sys
import unicodedata
from collections.abc import Callable, Iterable, Iterator
from typing import Any, TextIO, cast

from clampbook.text import escaped, in_json, in_toml

# What stands for a sign that an encoding lacks; the units are read back in this form.
_PLAIN = {
    "·": ".", "–": "-", "—": "-", "−": "-", "‑": "-", "‐": "-", "…": "...", "°": "deg", "±": "+/-", "×": "x",
    "÷": "/", "≥": ">=", "≤": "<=", "→": "->", "←": "<-", "↑": "^", "↓": "v", "µ": "u", "μ": "u", "“": '"', "”": '"',
    "„": '"', "’": "'", "‘": "'", "′": "'", "″": '"', "●": "*", "○": "o", "▀": "^", "▄": "_", "▸": ">", "•": "*",
    "◆": "*", "█": "#", "│": "|", "─": "-", "⅓": "1/3", "⅔": "2/3",
}  # fmt: skip
_CLOSED = "standard {which} is closed. Start clampbook where {what}"
_WRITTEN, _READ = "its output can be written", "something can be typed, or piped in"


class StreamFault(BrokenPipeError):  # noqa: N818 - the word of the project
    """Standard input or output cannot be used; `sentence` says why. Like a pipe that nobody reads, it ends a walk with
    a pause."""

    def __init__(self, sentence: str) -> None:
        super().__init__(errno.EIO, sentence)  # the number of a broken pipe would end a command without a word
        self.sentence = sentence


def json_text(value: object, indent: int | None = None, default: Callable[[Any], Any] | None = None) -> str:
    """A value as one JSON text with its line break; signs that do not show, and those that standard output lacks, are
    escaped, so that it reads back as it was."""
    import json  # the bench, which begins here too, has no use for it

    return in_ascii_where_needed(json.dumps(value, ensure_ascii=False, indent=indent, default=default) + "\n")


def json_list(name: str, values: Iterable[object]) -> Iterator[str]:
    """The same text, piece by piece, of an object that holds one list of so many values that nobody keeps them all."""
    import json

    separator = ""
    yield f"{{\n {json.dumps(name)}: ["
    for value in values:
        text = json.dumps(value, ensure_ascii=False, indent=1).replace("\n", "\n  ")
        yield in_ascii_where_needed(f"{separator}\n  {text}")
        separator = ","
    yield "\n ]\n}\n" if separator else "]\n}\n"


def in_ascii_where_needed(text: str) -> str:
    """JSON text that standard output can take, and that does nothing on a terminal."""
    return _within(escaped(text), in_json)


def toml_text(text: str) -> str:
    """The same of TOML text, which reads back as it was as long as such signs stand in strings."""
    return _within(escaped(text, in_toml), in_toml)


def _within(text: str, escape: Callable[[str], str]) -> str:
    encoding = getattr(sys.stdout, "takes", "utf-8")
    if encoding == "utf-8" or _has(encoding, text):
        return text
    return "".join(sign if _has(encoding, sign) else escape(sign) for sign in text)


def plainly(text: str, encoding: str) -> str:
    """The text with each sign that an encoding lacks in a form that it has: `30 N.m`, `28.0 - 32.0`."""
    if encoding == "utf-8" or _has(encoding, text):
        return text
    return "".join(sign if _has(encoding, sign) else _plain(sign) for sign in text)


def _plain(sign: str) -> str:
    bare = "".join(part for part in unicodedata.normalize("NFKD", sign) if part.isascii())
    return _PLAIN.get(sign) or bare or in_json(sign)


def _has(encoding: str, text: str) -> bool:
    try:
        text.encode(encoding)
    except UnicodeEncodeError:
        return False
    return True


class Outlet(io.TextIOBase):
    """A standard output that takes every text, and writes of it only what can do no harm and what its encoding has.

    Raises StreamFault where nothing can be written; a `quiet` one, which has nobody left to tell, does not.
    """

    def __init__(self, stream: TextIO | None, which: str, *, quiet: bool = False) -> None:
        self._stream = stream
        self._quiet = quiet
        self._fault = None if stream is not None else StreamFault(_CLOSED.format(which=which, what=_WRITTEN))
        self._which = which
        self.takes = _canonical(stream.encoding) if stream is not None else "utf-8"

    @property
    def encoding(self) -> str:  # type: ignore[override]  # of the text that is taken, which may hold any sign
        """UTF-8: what its encoding lacks is replaced here, by nobody else."""
        return "utf-8"

    @property
    def buffer(self) -> _Bytes:
        """The same for bytes, which are written as they are."""
        return _Bytes(self)

    def write(self, text: str) -> int:
        """Write a text. Only a carriage return at its very beginning is left, with which a count is written over."""
        if not isinstance(text, str):
            raise TypeError("text is written here, no bytes")
        begins = "\r" if text.startswith("\r") else ""
        told = begins + plainly(escaped(text[len(begins) :]), self.takes)
        self._doing(lambda stream: stream.write(told))
        return len(text)

    def flush(self) -> None:
        """Send what was written on its way. Raises StreamFault where it cannot be."""
        if self._fault is None:
            self._doing(lambda stream: stream.flush())

    def bytes_written(self, data: bytes) -> int:
        """Write bytes as they are, after whatever was written before."""

        def put(stream: TextIO) -> None:
            stream.flush()
            stream.buffer.write(data)

        self._doing(put)
        return len(data)

    def isatty(self) -> bool:
        """True where it is a terminal."""
        return self._stream is not None and self._stream.isatty()

    def fileno(self) -> int:
        """Its number in the system. Raises OSError where it was closed."""
        if self._stream is None:
            raise OSError(errno.EBADF, os.strerror(errno.EBADF))
        return self._stream.fileno()

    def writable(self) -> bool:
        """It is."""
        return True

    def _doing(self, act: Callable[[TextIO], object]) -> None:
        if self._fault is None and self._stream is not None:
            try:
                act(self._stream)
            except BrokenPipeError:
                if not self._quiet:
                    raise
                self._give_up(StreamFault(""))
            except (OSError, ValueError) as error:
                why = error.strerror if isinstance(error, OSError) else str(error)
                self._give_up(
                    StreamFault(f"standard {self._which} cannot be written ({why}). Earlier answers are saved")
                )
        if self._fault is not None and not self._quiet:
            raise self._fault

    def _give_up(self, fault: StreamFault) -> None:
        """Lead what waits to be written nowhere, so that the interpreter does not complain of it at its end."""
        self._fault = fault
        with contextlib.suppress(OSError, ValueError):
            os.dup2(os.open(os.devnull, os.O_WRONLY), self.fileno())


class _Bytes(io.RawIOBase):
    def __init__(self, outlet: Outlet) -> None:
        self._outlet = outlet

    def writable(self) -> bool:
        return True

    def write(self, data: Any) -> int:
        return self._outlet.bytes_written(bytes(data))

    def flush(self) -> None:
        self._outlet.flush()


class NoInlet(io.TextIOBase):
    """Standard input that was closed before the program began."""

    @property
    def buffer(self) -> io.BufferedReader:
        """Raises StreamFault: whoever wants to read is told before anything else is done."""
        raise StreamFault(_CLOSED.format(which="input", what=_READ))

    def isatty(self) -> bool:
        """Nobody can type there."""
        return False


def guard() -> None:
    """Put these in place of the interpreter's own, once, at the start of the program."""
    for _ in _free_numbers():
        os.open(os.devnull, os.O_RDWR)  # else the next file that is opened, a daybook, would be standard output
    if sys.stdin is None:
        sys.stdin = cast(TextIO, NoInlet())
    if not isinstance(sys.stdout, Outlet):
        sys.stdout = cast(TextIO, Outlet(sys.stdout, "output"))
    if not isinstance(sys.stderr, Outlet):
        sys.stderr = cast(TextIO, Outlet(sys.stderr, "error", quiet=True))


def _free_numbers() -> Iterator[int]:
    """Those of the three standard streams that were closed, one after the other as each is filled."""
    for number in range(3):
        try:
            os.fstat(number)
        except OSError:
            yield number


def _canonical(encoding: str) -> str:
    import codecs

    try:
        return codecs.lookup(encoding).name
    except LookupError:
        return "ascii"
