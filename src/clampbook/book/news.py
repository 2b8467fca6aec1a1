"""What other programs have found of this book's tools meanwhile: looked for in the log, as often as somebody asks."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from clampbook.book.book import LOG, Book
from clampbook.check.standing import Failure, Standing, about_tools, standing
from clampbook.run.doubting import Suspect
from clampbook.tools.permitted import signed


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
        lines = about_tools(self._book.log_lines())
        before, self._known = self._known, len(lines)
        if len(lines) == (before or 0):
            return ()
        if before is not None:
            self._grown()
        return suspects(standing(lines))


def suspects(known: Standing) -> tuple[Suspect, ...]:
    """Every tool that a check found off, and everything that happened to one, each in the order of the log."""
    failed = tuple(_failed(failure) for failure in known.failures)
    happened = tuple(
        Suspect(
            tool=each.tool,
            why=each.trouble.says,
            trouble=each.trouble,
            after=each.trouble.at,
            good_again=each.good_again,
        )
        for each in known.happened
    )
    return (*failed, *happened)


def _failed(failure: Failure) -> Suspect:
    return Suspect(
        tool=failure.tool,
        check=failure.check,
        why=why(failure),
        after=failure.good_until,
        good_again=failure.good_again,
    )


def why(failure: Failure) -> str:
    """A failure in a few words."""
    off = "" if failure.worst is None else f" by {signed(failure.worst, None)}"
    return f"check {failure.check} of {failure.at[:10]} found it off{off}"
