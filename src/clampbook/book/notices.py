"""Notices beside runs that are over: what is known of a tool since, or an addendum; the run itself is never changed.

They stand in notices/<run>/ as facts, one file each, and are told wherever the record is opened or printed; so is a
follow-up that was crossed off, which stands in the book's log.
"""

from __future__ import annotations

import contextlib
import tomllib
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING, Any

from clampbook.book.book import Book
from clampbook.book.due.crossed import crossed_off
from clampbook.ledger import atomic
from clampbook.ledger.inside import read_file
from clampbook.ledger.private import make_folder
from clampbook.ledger.refusals import LedgerFault, refusal
from clampbook.tools.permitted import signed
from clampbook.units import plain, show_day

if TYPE_CHECKING:
    from clampbook.archive.affected import AffectedRun
    from clampbook.check.standing import Failure

NOTICES = "notices"
_QUESTION = "?"
_MOST = 1_000_000  # bytes of one notice


def write_notices(book: Book, failure: Failure, tool: str, runs: Sequence[AffectedRun]) -> tuple[Path, ...]:
    """A notice beside each of these runs that is over and has none of this check yet. Raises LedgerFault."""
    written = []
    for run in runs:
        path = book.path(NOTICES, run.run, f"{failure.check}.toml")
        if run.outcome in ("open", "held") or path.exists():
            continue
        try:
            make_folder(path.parent)
        except OSError as error:
            raise refusal(path.parent, error, "be made") from error
        atomic.write(path, _notice(failure, tool, run))
        written.append(path)
    return tuple(written)


def notices(book: Book, run: str) -> tuple[str, ...]:
    """Give what is to be said beside a run, a sentence for each notice, in the order of their checks, and for each
    follow-up of it that was crossed off."""
    return beside(book, (run,))[run]


def beside(book: Book, runs: Iterable[str]) -> dict[str, tuple[str, ...]]:
    """The same of several runs, or checks. A log that cannot be read says nothing here: whoever verifies it is told."""
    crossed: defaultdict[str, list[str]] = defaultdict(list)
    with contextlib.suppress(LedgerFault):
        for each in crossed_off(book).values():
            crossed[each.run].append(each.says)
    return {run: (*_filed(book, run), *crossed[run]) for run in runs}


def _filed(book: Book, run: str) -> tuple[str, ...]:
    folder = book.path(NOTICES, run)
    told = []
    for path in sorted(folder.glob("*.toml")) if folder.is_dir() else ():
        try:
            told.append(_told(tomllib.loads(read_file(path, _MOST).decode())))
        except (LedgerFault, ValueError, KeyError, TypeError, ArithmeticError):
            told.append(f"{_QUESTION} Notice {path} cannot be read.")
    return tuple(told)


def _told(facts: Mapping[str, Any]) -> str:
    """A notice as a sentence, whichever it is. Raises KeyError, TypeError, ValueError or ArithmeticError where facts
    are missing or not what they should be."""
    if "addendum" in facts:
        return f"Addendum {facts['addendum']} by {facts['person']}: {facts['text']}"
    off = "" if "worst" not in facts else f", off by {signed(Decimal(facts['worst']), None)}"
    check = f"{facts['tool']} failed its check of {show_day(facts['on'])}{off}"
    pulls, outside, undecided = int(facts["pulls"]), len(facts["outside"]), int(facts["undecided"])
    used = f"{pulls} {'pull' if pulls == 1 else 'pulls'} of this run used it"
    if not facts["judged"]:
        return f"{_QUESTION} {check}. {used}, and how far off it was is not known."
    open_ones = f", {undecided} undecided" if undecided else ""
    return f"{_QUESTION} {check}. {used}, {outside or 'none'} would have been outside{open_ones}."


def is_suspicion(notice: str) -> bool:
    """True of a notice that puts a tool, or itself, in question; that of an addendum only says where to read on."""
    return notice.startswith(_QUESTION)


def in_question(book: Book) -> frozenset[str]:
    """The runs with a tool in question since, by their names."""
    runs = {path.parent.name for path in book.path(NOTICES).glob("*/*.toml")}
    return frozenset(run for run in runs if any(map(is_suspicion, _filed(book, run))))


def _notice(failure: Failure, tool: str, run: AffectedRun) -> bytes:
    import tomli_w

    worst = {} if failure.worst is None else {"worst": plain(failure.worst)}
    return tomli_w.dumps(
        {
            "notice": 1,
            "run": run.run,
            "check": failure.check,
            "tool": tool,
            "on": failure.at[:10],
            **worst,
            "pulls": len(run.kept),
            "judged": any(each.now is not None for each in run.readings),
            "undecided": run.undecided,
            "lines": [each.line for each in run.readings],
            "outside": [each.line for each in run.outside],
        }
    ).encode()
