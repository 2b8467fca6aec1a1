"""Sentences about answers before a file is made of them: what a walk needs and was left out, else what is queried."""

from __future__ import annotations

from clampbook.faults import Faulty
from clampbook.procedure.guided.answers import Answers
from clampbook.procedure.guided.page import page
from clampbook.procedure.guided.talk import lacking
from clampbook.procedure.reader import read
from clampbook.review.review import review
from clampbook.text import as_sentence


def told(answers: Answers) -> tuple[str, ...]:
    """Each in a sentence; none where the file is clean."""
    left_out = ", ".join(question.short for question in lacking(answers))
    if left_out:
        return (f"Left out, and needed before a walk: {left_out}.",)
    try:
        return tuple(as_sentence(query.text) for query in review(read(page(answers).encode())).queries)
    except Faulty as faulty:
        return tuple(as_sentence(fault.text) for fault in faulty.faults)
