"""Answers about a new procedure of a book that is not saved yet: in the copies of drafts, one a book, under a name that
no file of it has. They are offered when a procedure is started there again, and are never put over a file.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

import msgspec

from clampbook.book.book import Book
from clampbook.book.drafting import copies
from clampbook.ledger.refusals import LedgerFault
from clampbook.procedure.guided.answers import Answers
from clampbook.procedure.guided.talk import Talk, resumed
from clampbook.text import as_sentence

_NAME = "new procedure"
_OF_ANOTHER = "Another new procedure is being answered in this book, so these answers have no copy."


@dataclass(frozen=True, slots=True)
class Found:
    """The talk as far as it had come, and when."""

    talk: Talk
    at: datetime


class _Said(msgspec.Struct, frozen=True, kw_only=True):
    answers: Answers
    asked: int


class KeptAnswers:
    """The copy of one start of a procedure in this book."""

    def __init__(self, book: Book) -> None:
        self._path = book.root / _NAME
        self._own: datetime | None = None

    def found(self) -> Found | None:
        """Answers that nobody saved, which are these answers' own from now on; None where there are none."""
        copy = copies.kept(self._path)
        if copy is None:
            return None
        self._own = copy.at
        try:
            said = msgspec.json.decode(copy.text, type=_Said)
        except msgspec.MsgspecError:
            return None
        talk = resumed(said.answers, said.asked)
        return None if talk is None else Found(talk, copy.at)

    def keep(self, talk: Talk) -> str:
        """Save these aside; "" or a sentence why there is no copy of them."""
        there = copies.kept(self._path)
        if there is not None and there.at != self._own:
            return _OF_ANOTHER
        now = datetime.now().astimezone()
        said = _Said(answers=talk.answers, asked=talk.asked)
        try:
            copies.keep(self._path, msgspec.json.encode(said).decode(), None, now)
        except LedgerFault as refused:
            return f"No copy of these answers could be saved. {as_sentence(refused.sentence)}"
        self._own = now
        return ""

    def forget(self) -> None:
        """They are saved, or nobody wants them; a copy of somebody else stays."""
        there = copies.kept(self._path)
        if there is None or there.at == self._own:
            copies.forget(self._path)
