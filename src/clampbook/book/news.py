"""The news of tools and procedures of this book that other programs found: looked for in the log when somebody asks."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from clampbook.book.approvals import RELEASED, WITHDRAWN
from clampbook.book.book import LOG, Book
from clampbook.book.settled import own_log
from clampbook.book.told_apart import identities
from clampbook.check.standing import Failure, Standing, about_tools, standing
from clampbook.ledger.lines import decode, telling
from clampbook.people import Person
from clampbook.run.acts.withdrawal import Withdrawal
from clampbook.run.in_hand.suspects import Suspect
from clampbook.run.plan import Plan
from clampbook.tools.identity import Identities

_OF_PROCEDURES = telling(RELEASED, WITHDRAWN)


class ToolNews:
    """Gives all tools that something speaks against whenever the log has grown, and nothing in between.

    Asking costs one look at the size of a file. `grown` is called where there is anything new about tools, so that
    what is known of them can be read again.
    """

    def __init__(self, book: Book, grown: Callable[[], None] = lambda: None) -> None:
        self._book = book
        self._grown = grown
        self._size = -1  # of a log that nobody has looked at
        self._known: int | None = None  # lines about tools; None before anybody asked

    def __call__(self) -> Sequence[Suspect]:
        """The suspects, where there may be new ones. A log that cannot be read has no news."""
        try:
            size = self._book.path(LOG).stat().st_size
        except OSError:
            self._known = self._known or 0
            return ()
        if size == self._size:
            return ()
        self._size = size
        told = own_log(self._book)
        lines = about_tools(told.other_lines)
        before, self._known = self._known, len(lines)
        if len(lines) == (before or 0):
            return ()
        if before is not None:
            self._grown()
        which = identities(self._book, told)
        return suspects(standing(lines, which), which)


class WithdrawalNews:
    """Gives the withdrawal of a run's procedure once the log tells of it; asking costs a look at the size of a file."""

    def __init__(self, book: Book, plan: Plan) -> None:
        self._book = book
        self._plan = plan
        self._size = -1

    def __call__(self) -> Withdrawal | None:
        """The withdrawal, where this revision is withdrawn now, and was not known to be when the run began."""
        try:
            size = self._book.path(LOG).stat().st_size
        except OSError:
            return None
        if size == self._size or self._plan.status == "withdrawn":
            return None
        self._size = size
        mine = [line for line in own_log(self._book).other_lines if _OF_PROCEDURES.search(line)]
        entries = [entry for entry in map(decode, mine) if self._is_mine(entry)]
        last = entries[-1] if entries else {}
        if last.get("event") != WITHDRAWN:
            return None
        person = str(last.get("person"))
        whose = Person(person, self._book.name_of(person) or person)
        why = str(last.get("because") or "no reason given")
        return Withdrawal(self._plan.revision, whose, str(last.get("at")), why)

    def _is_mine(self, entry: Mapping[str, Any]) -> bool:
        return (entry.get("procedure"), entry.get("revision")) == (self._plan.slug, self._plan.revision)


def suspects(known: Standing, which: Identities) -> tuple[Suspect, ...]:
    """Every tool that a check found off, and everything that happened to one, each in the order of the log."""
    failed = tuple(_failed(failure, *which.others(failure.tool)) for failure in known.failures)
    happened = tuple(
        Suspect(
            tool=which.others(each.tool)[0],
            others=which.others(each.tool)[1],
            trouble=each.trouble,
            after=each.trouble.at,
            good_again=each.good_again,
        )
        for each in known.happened
    )
    return (*failed, *happened)


def _failed(failure: Failure, id: str, others: frozenset[str]) -> Suspect:
    return Suspect(
        tool=id,
        others=others,
        check=failure.check,
        found=failure.at,
        off=failure.worst,
        after=failure.good_until,
        good_again=failure.good_again,
    )
