"""From a path to bytes, from bytes to TOML data: a file that cannot be read so far has one fault, in a sentence."""

from __future__ import annotations

import re
import stat
import tomllib
from pathlib import Path
from typing import Any

from clampbook.faults import Fault, Faulty
from clampbook.procedure.codes import Code
from clampbook.procedure.traps import explain

MOST_BYTES = 1_000_000
_LOOKED_AT = 64
_MOST_DOTS = 40
# A key with so many dots takes tomllib time that grows with the third power of their number.
_DOTTED = re.compile(rf"(?<![\w-])(?:(?:[\w-]++|\"[^\"\n]*+\"|'[^'\n]*+')[ \t]*+\.[ \t]*+){{{_MOST_DOTS}}}", re.ASCII)
_KINDS = {"tools.toml": "a list of tools", "people.toml": "a list of people"}
_OTHER_ENCODINGS = (
    (b"\xff\xfe\x00\x00", "UTF-32"),
    (b"\x00\x00\xfe\xff", "UTF-32"),
    (b"\xff\xfe", "UTF-16"),
    (b"\xfe\xff", "UTF-16"),
)


def load(path: Path) -> bytes:
    """The bytes of a file of at most 1 MB. Raises Faulty; never reads more than that."""
    name = str(path)
    try:
        mode = path.stat().st_mode  # before opening: a pipe that nobody writes to would hold the program
        if not stat.S_ISREG(mode) and not stat.S_ISDIR(mode):
            raise _one(name, Code.FOLDER, "this is not a file with text", hint="give the path of a .toml file")
        with path.open("rb") as file:
            data = file.read(MOST_BYTES + 1)
    except FileNotFoundError:
        raise _one(name, Code.NO_FILE, "there is no such file", hint="check the spelling and the folder") from None
    except IsADirectoryError:
        raise _one(name, Code.FOLDER, "this is a folder", hint="give the path of a .toml file in it") from None
    except PermissionError:
        raise _one(name, Code.NOT_OPENED, "you may not read this file", hint="ask its owner for permission") from None
    except (OSError, ValueError) as error:
        reason = (error.strerror if isinstance(error, OSError) else None) or "it cannot be the name of a file"
        raise _one(
            name, Code.NOT_OPENED, f"the file cannot be opened: {reason[:1].lower()}{reason[1:]}", hint="check the path"
        ) from None
    _hold_size(data, name)
    return data


def parse(data: bytes, path: str) -> dict[str, Any]:
    """The TOML data in these bytes. Raises Faulty with the one fault that TOML stops at."""
    _hold_size(data, path)
    text = decoded(data, path)
    if dotted := _DOTTED.search(text):
        at_line = text.count("\n", 0, dotted.start()) + 1
        raise _one(
            path,
            Code.TOO_DEEP,
            "a key has too many dots",
            line=at_line,
            hint=f"{_kind(path)} needs two at most",
        )
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        trap = explain(error, text)
        raise _one(
            path, trap.code, trap.text, line=trap.line, found=trap.found, allowed=trap.allowed, hint=trap.hint
        ) from None
    except RecursionError:
        raise _one(
            path,
            Code.TOO_DEEP,
            "lists or tables are nested too deep",
            hint=f"{_kind(path)} needs three levels at most",
        ) from None
    except ValueError:  # Python refuses to make a number of more than 4300 digits
        line = _line_of_long_number(text)
        raise _one(path, Code.LONG_NUMBER, "a number has thousands of digits", line=line, hint="shorten it") from None


def _kind(path: str) -> str:
    """Tell what a file of this name holds: files of the book have names of their own, and any other is a procedure."""
    return _KINDS.get(Path(path).name, "a procedure")


def _hold_size(data: bytes, path: str) -> None:
    if len(data) > MOST_BYTES:
        raise _one(
            path,
            Code.TOO_LARGE,
            f"the file is larger than 1 MB, too large for {_kind(path)}",
            found="more than 1 MB",
            allowed="up to 1 MB",
            hint="check that it is the right file",
        )


def decoded(data: bytes, path: str) -> str:
    """The text in these bytes. Raises Faulty where they are not UTF-8."""
    for mark, name in _OTHER_ENCODINGS:
        if data.startswith(mark):
            raise _not_utf8(path, 1, name)
    if data.startswith(b"\xef\xbb\xbf"):
        raise _one(
            path,
            Code.NOT_UTF8,
            "the file begins with an invisible byte order mark",
            line=1,
            found="UTF-8 with byte order mark",
            allowed="UTF-8 without it",
            hint="save it as UTF-8 without BOM",
        )
    if data[:_LOOKED_AT].count(0) > _LOOKED_AT // 4:
        raise _not_utf8(path, 1, "UTF-16")
    try:
        return data.decode()
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise _not_utf8(path, line, f"byte 0x{data[error.start]:02X}", guess=data[error.start]) from None


def _not_utf8(path: str, line: int, found: str, guess: int | None = None) -> Faulty:
    likely = "" if guess is None else ", most likely saved as Latin-1 or Windows-1252"
    return _one(
        path,
        Code.NOT_UTF8,
        f"the text is not UTF-8 but {found}{likely}",
        line=line,
        found=found,
        allowed="UTF-8",
        hint="open it in an editor and save it as UTF-8",
    )


def _line_of_long_number(text: str) -> int | None:
    long = re.search(r"(?:\d_?){4301}", text)
    return text.count("\n", 0, long.start()) + 1 if long else None


def _one(
    path: str, code: str, text: str, *, line: int | None = None, found: str = "", allowed: str = "", hint: str = ""
) -> Faulty:
    return Faulty([Fault(path, line, "", str(code), found, allowed, text, hint)])
