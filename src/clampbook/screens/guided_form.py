"""The answers about a new procedure as they gather, one below the other, with what can be chosen at the one at hand."""

from __future__ import annotations

from collections.abc import Sequence

from textual.content import Content

from clampbook.procedure.guided.questions import Question
from clampbook.procedure.guided.talk import Talk, in_words
from clampbook.procedure.model import Procedure
from clampbook.procedure.naming import own
from clampbook.review.answers import told
from clampbook.screens.choosing import wrapped
from clampbook.screens.key_meaning import Row
from clampbook.text import printable

_LONGEST = 14  # columns of the names of answers


def form(talk: Talk, choices: Sequence[Row], known: Procedure | None, columns: int) -> tuple[Content, int]:
    """All answers, and in which row the one at hand stands; `known` is the joint as far as it was answered."""
    rows: list[Content] = []
    here = 0
    for number, asked in enumerate(talk.questions):
        if number == talk.asked:
            here = len(rows)
            line = f"▸ {asked.short:<{_LONGEST}} {printable(in_words(asked, talk.answers))}"
            rows += [Content.styled(line.rstrip(), "bold"), *_listed(choices, columns)]
        else:
            rows += _row(talk, number, asked, known, columns)
    if talk.question is None:
        here = len(rows)
        rows += [Content.styled("▸ save", "bold"), *_listed(choices, columns), *_looked_over(talk, columns)]
    return Content("\n").join(rows), here


def _row(talk: Talk, number: int, asked: Question, known: Procedure | None, columns: int) -> list[Content]:
    name, answer = f"  {asked.short:<{_LONGEST}}", in_words(asked, talk.answers)
    if not answer:
        return [Content.styled(f"{name} {'–' if number < talk.furthest else '·'}", "$quiet")]
    room = columns - _LONGEST - 3
    lines = wrapped(printable(answer), room)
    if asked.name == "order" and known is not None and talk.answers.how_many:
        lines += wrapped(" ".join(map(own, known.groups[0].order)), room)  # as the reader works it out
    return [Content(f"{name if n == 0 else ' ' * (_LONGEST + 2)} {line}") for n, line in enumerate(lines)]


def _listed(choices: Sequence[Row], columns: int) -> list[Content]:
    """List what can be chosen here, by number, below its line."""
    rows = []
    for choice in choices:
        for n, text in enumerate(wrapped(printable(choice.text), columns - 7)):
            rows.append(Content(f"    {choice.key if n == 0 else ' '} {text}"))
    return rows


def _looked_over(talk: Talk, columns: int) -> list[Content]:
    """Tell at the end what the file still lacks, and what the review asks about it."""
    rows = []
    for sentence in told(talk.answers):
        for n, text in enumerate(wrapped(printable(sentence), columns - 4)):
            rows.append(Content.styled(f"  {'!' if n == 0 else ' '} {text}", "$over"))
    return rows or [Content("    Review: no errors, no queries.")]
