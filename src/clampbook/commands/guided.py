"""A new procedure by questions, on the full screen or line by line."""

from __future__ import annotations

import shlex
from pathlib import Path
from typing import TYPE_CHECKING

from clampbook.commands.exit_status import FINE, INTERRUPTED, LOOK_AT_IT
from clampbook.commands.keys import lines
from clampbook.commands.on_screen import is_a_screen, starting_a_procedure
from clampbook.commands.options import in_this_book, open_book, say

if TYPE_CHECKING:
    from clampbook.book.book import Book
    from clampbook.plain.guided import Guided


def by_questions(folder: Path | None, *, plain: bool, as_json: bool) -> int:
    """Ask about a joint, and save a draft of what was answered."""
    book = open_book(folder)
    if is_a_screen() and not plain and not as_json:
        return starting_a_procedure(book)
    return _line_by_line(book, as_json=as_json)


def _line_by_line(book: Book, *, as_json: bool) -> int:
    from clampbook.commands.line_by_line import face_of
    from clampbook.plain.beginning import NothingBegun
    from clampbook.plain.guided import Guided
    from clampbook.plain.lines import Interrupted

    typed = lines()
    with typed.safe_to_stop():
        try:
            path, told = _saved(book, Guided(face_of(as_json=as_json), typed, book.unit()))
        except NothingBegun:
            say("Nothing saved.")
            return FINE
        except Interrupted:
            say("Stopped. Nothing is saved.")
            return INTERRUPTED
    name = shlex.quote(path.stem)
    say(f"Saved: {path}", f"See its steps: clampbook plan {name}{in_this_book(book)}")
    return LOOK_AT_IT if told else FINE


def _saved(book: Book, guided: Guided) -> tuple[Path, tuple[str, ...]]:
    """The file that was written, and what was told of it. Raises NothingBegun."""
    from clampbook.book.drafts import file_for, write_draft
    from clampbook.procedure.guided.page import page
    from clampbook.procedure.library import as_a_start
    from clampbook.review.answers import told

    answers = guided.answers()
    title = answers if isinstance(answers, str) else answers.title or ""
    sentences = () if isinstance(answers, str) else told(answers)
    guided.save(f"procedures/{file_for(book, title).name}", sentences)
    text = as_a_start(answers) if isinstance(answers, str) else page(answers, book.unit())
    return write_draft(book, title, text), sentences
