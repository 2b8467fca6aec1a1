"""Notices beside runs that are over: a later doubt about a tool, in a file of its own; the run itself is never changed.

They stand in notices/<run>/<check>.toml and are shown wherever the record is opened or printed.
"""

from __future__ import annotations

import contextlib
import tomllib
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from clampbook.book.book import Book
from clampbook.ledger import atomic
from clampbook.ledger.inside import read_file
from clampbook.ledger.private import make_folder
from clampbook.ledger.refusals import LedgerFault, refusal

if TYPE_CHECKING:
    from clampbook.archive.affected import AffectedRun

NOTICES = "notices"
_MOST = 1_000_000  # bytes of one notice


def write_notices(book: Book, check: str, tool: str, why: str, runs: Sequence[AffectedRun]) -> tuple[Path, ...]:
    """A notice beside each of these runs that is over and has none of this check yet. Raises LedgerFault."""
    written = []
    for run in runs:
        path = book.path(NOTICES, run.run, f"{check}.toml")
        if run.outcome in ("open", "held") or path.exists():
            continue
        try:
            make_folder(path.parent)
        except OSError as error:
            raise refusal(path.parent, error, "be made") from error
        atomic.write(path, _notice(check, tool, why, run))
        written.append(path)
    return tuple(written)


def notices(book: Book, run: str) -> tuple[str, ...]:
    """Give what is to be said beside a run, a sentence for each notice, in the order of their checks."""
    folder = book.path(NOTICES, run)
    told = []
    for path in sorted(folder.glob("*.toml")) if folder.is_dir() else ():
        sentence = None
        with contextlib.suppress(LedgerFault, ValueError):
            sentence = tomllib.loads(read_file(path, _MOST).decode()).get("sentence")
        told.append(sentence if isinstance(sentence, str) else f"? {path} is a notice that cannot be read.")
    return tuple(told)


def is_doubt(notice: str) -> bool:
    """True of a notice that puts a tool, or itself, in doubt; that of an addendum only says where to read on."""
    return notice.startswith("?")


def doubted(book: Book) -> frozenset[str]:
    """The runs that have a doubt beside them, by their names."""
    runs = {path.parent.name for path in book.path(NOTICES).glob("*/*.toml")}
    return frozenset(run for run in runs if any(map(is_doubt, notices(book, run))))


def _notice(check: str, tool: str, why: str, run: AffectedRun) -> bytes:
    import tomli_w

    count, outside = len(run.kept), len(run.outside)
    pulls = "1 kept pull of this run was" if count == 1 else f"{count} kept pulls of this run were"
    if all(each.now is None for each in run.readings):
        found = "how far off it was is not known"
    else:
        undecided = f", and {run.undecided} cannot be decided" if run.undecided else ""
        found = f"{outside or 'none'} of them would have been outside{undecided}"
    sentence = f"? {tool} is in doubt: {why}. {pulls} made with it; {found}."
    return tomli_w.dumps(
        {
            "notice": 1,
            "sentence": sentence,
            "run": run.run,
            "check": check,
            "lines": [each.line for each in run.readings],
            "outside": [each.line for each in run.outside],
        }
    ).encode()
