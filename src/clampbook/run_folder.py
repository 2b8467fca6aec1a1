"""The folder of one run: what was frozen before its first line, and the daybook of what was done."""

from __future__ import annotations

import os
import re
import stat
from collections.abc import Iterator, Mapping, Set
from datetime import date
from pathlib import Path
from typing import Any, BinaryIO, Literal

from msgspec import Struct

from clampbook.ledger import atomic, ledger, lines
from clampbook.ledger.formats import FORMAT
from clampbook.ledger.inside import inside, read_file
from clampbook.ledger.private import make_folder
from clampbook.ledger.refusals import LedgerFault, refusal
from clampbook.slug import drawn

PROCEDURE = "procedure.toml"
PLAN = "plan.json"
DAYBOOK = "daybook.jsonl"
RECORD = "record.toml"
ADDENDUM = "addendum"  # as what a run follows another that only adds words to it
DAMAGED = "daybook.damaged-"  # begins the name of a damaged daybook that was moved aside
SEAL = "seal.sha256"  # once it is there, nothing in the folder changes any more
MOST_OF_A_PROCEDURE = 1_000_000  # bytes
MOST_OF_A_PLAN = 200_000_000
_ID = re.compile(r"\d{8}-[a-z0-9-]+-[a-z2-7]{8}")
_END = 65536  # bytes read from the end of a daybook, more where its last line is longer

State = Literal["open", "closed", "abandoned", "damaged"]


class RunFolder(Struct, frozen=True):
    """A run on disk, by its folder; reading it needs no lock."""

    path: Path

    @property
    def id(self) -> str:
        """The run's name, such as 20260302-head-k7q2m4xa."""
        return self.path.name

    @property
    def daybook(self) -> Path:
        """The file of its lines."""
        return self.path / DAYBOOK

    def procedure(self) -> bytes:
        """The exact bytes of the procedure as it was frozen. Raises LedgerFault."""
        return read_file(inside(self.path, PROCEDURE), MOST_OF_A_PROCEDURE)

    def plan(self) -> bytes:
        """The exact bytes of the frozen plan. Raises LedgerFault."""
        return read_file(inside(self.path, PLAN), MOST_OF_A_PLAN)

    def lines(self) -> tuple[list[bytes], int]:
        """All whole lines and the number of bytes torn off after them. Raises LedgerFault."""
        return ledger.read(self.daybook)

    def first_line(self) -> bytes | None:
        """Its first line, if there is a whole one."""
        return _first_line(self.daybook)

    def last_line(self) -> bytes | None:
        """Its last whole line, if there is one."""
        return _last_line(self.daybook)

    def first(self) -> dict[str, Any] | None:
        """Fields of its first line; None where there is no line that can be read."""
        return _said(self.first_line())

    def last(self) -> dict[str, Any] | None:
        """Fields of its last whole line; None where there is no line that can be read."""
        return _said(self.last_line())

    @property
    def made_before(self) -> bool:
        """True where an earlier version wrote it, in a format that this one neither checks nor changes."""
        return begun_before(self.first() or {})

    @property
    def addendum_to(self) -> str | None:
        """The run that this only adds words to; None where it is a run of its own."""
        if self.id[9:-9] != ADDENDUM:
            return None
        of = (self.first() or {}).get("of_run")
        if not isinstance(of, dict) or of.get("follow_up") != ADDENDUM:
            return None
        return of["run"] if isinstance(of.get("run"), str) else None

    @property
    def state(self) -> State:
        """State of the run, by its last line alone."""
        match self.last():
            case None:
                return "damaged"
            case {"event": "closed"}:
                return "closed"
            case {"event": "abandoned"}:
                return "abandoned"
            case _:
                return "open"


def begun_before(first: Mapping[str, Any]) -> bool:
    """True where the first line of a daybook names a format that this version neither checks nor changes."""
    found = first.get("daybook")
    return isinstance(found, int) and not isinstance(found, bool) and 0 < found < FORMAT


def new_id(on: date, slug: str) -> str:
    """A run's name: its day, what it is about, and eight letters that nobody else has drawn."""
    return f"{on:%Y%m%d}-{slug}-{drawn()}"


def is_id(name: str) -> bool:
    """True where a folder of this name can be that of a run."""
    return _ID.fullmatch(name) is not None


def folders(runs: Path) -> Iterator[RunFolder]:
    """All runs in a folder by day and name; what has no run's name, and links, are left alone."""
    return (RunFolder(runs / name) for name in names(runs))


def names(runs: Path, but: Set[str] = frozenset()) -> list[str]:
    """The names of all runs in a folder by day and name, `but` of these; read off the folder alone, no run is looked
    into."""
    try:
        with os.scandir(runs) as found:
            other = [each for each in found if each.name not in but]
        return sorted(each.name for each in other if is_id(each.name) and each.is_dir(follow_symlinks=False))
    except FileNotFoundError:
        return []
    except OSError as error:
        raise refusal(runs, error, "be read") from error


def latest_first(runs: Path, slug: str) -> Iterator[str]:
    """The names of the runs of a procedure from the latest day on; each is told from other things in the folder only
    when its turn comes."""
    try:
        with os.scandir(runs) as found:
            named = {each.name: each for each in found if f"-{slug}-" in each.name}
        for name in sorted(named, reverse=True):
            if is_id(name) and named[name].is_dir(follow_symlinks=False):
                yield name
    except FileNotFoundError:
        return
    except OSError as error:
        raise refusal(runs, error, "be read") from error


def write_frozen(folder: Path, procedure: bytes, plan: bytes) -> None:
    """Make the folder of a run with what it uses, safe on the disk. Raises LedgerFault or LedgerFull."""
    try:
        make_folder(folder, new=True)
    except OSError as error:
        raise refusal(folder, error, "be made") from error
    atomic.write(folder / PROCEDURE, procedure)
    atomic.write(folder / PLAN, plan)


def _said(line: bytes | None) -> dict[str, Any] | None:
    try:
        return None if line is None else lines.decode(line)
    except LedgerFault:
        return None


def _opened(path: Path) -> BinaryIO:
    """A plain file, opened to be read; a link is not followed, and a pipe that nobody writes to holds nobody up."""
    flags = os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
    file = os.fdopen(os.open(path, flags), "rb")
    if not stat.S_ISREG(os.fstat(file.fileno()).st_mode):
        file.close()
        raise OSError
    return file


def _first_line(path: Path) -> bytes | None:
    try:
        with _opened(path) as file:
            line = file.readline()
    except OSError:
        return None
    return line[:-1] if line.endswith(b"\n") else None


def _last_line(path: Path) -> bytes | None:
    """Read from the end only, so that a list of many runs need not read their daybooks."""
    try:
        with _opened(path) as file:
            size = file.seek(0, os.SEEK_END)
            reach = _END
            while True:
                file.seek(max(0, size - reach))
                whole, _ = lines.split(file.read(reach))
                if len(whole) > 1 or reach >= size:
                    return whole[-1] if whole else None
                reach *= 4
    except OSError:
        return None
