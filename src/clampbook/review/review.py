"""All queries about a procedure: those that stand, and those that were answered in the file."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from clampbook.faults import Query
from clampbook.procedure.model import Accepted, Procedure
from clampbook.procedure.slips import KeyPath, key_text, short
from clampbook.review.adjusting import adjusting
from clampbook.review.codes import Code
from clampbook.review.lacking import lacking
from clampbook.review.lengths import lengths
from clampbook.review.look import Look, Raised
from clampbook.review.order import orders
from clampbook.review.papers import papers
from clampbook.review.rounds import rounds
from clampbook.review.strength import strength
from clampbook.review.threads import threads
from clampbook.review.torques import torques
from clampbook.review.two_strengths import two_strengths
from clampbook.review.two_units import two_units
from clampbook.review.windows import windows
from clampbook.text import quoted
from clampbook.tools.model import Stock

Lines = Callable[[KeyPath], int | None]


@dataclass(frozen=True, slots=True)
class Answered:
    """A query that the file answers, and its reason."""

    query: Query
    because: str


@dataclass(frozen=True, slots=True)
class Review:
    """Queries and their answers, both in the order of their lines."""

    queries: tuple[Query, ...]
    answered: tuple[Answered, ...] = ()


def review(
    procedure: Procedure, stock: Stock | None = None, *, path: str = "", line_of: Lines = lambda _: None
) -> Review:
    """Every query about a procedure; `stock` None leaves out what only the tools of a book can tell.

    `path` and `line_of` say where the queries stand; without them they have keys only. Queries are questions and never
    corrections: nothing is changed. A query named in `accepted` by its code, or by its code and key ("W401 stage[3]"),
    is answered; an answer to no query is itself told.
    """
    found = tuple(questions(Look(procedure), stock))
    answers = procedure.accepted
    queries = [_query(each, path, line_of) for each in found if _answer(each, answers) is None]
    queries += [_query(each, path, line_of) for each in _idle(found, answers, with_tools=_has_tools(stock))]
    answered = [
        Answered(_query(each, path, line_of), answer.because)
        for each in found
        if (answer := _answer(each, answers)) is not None
    ]
    return Review(
        tuple(sorted(queries, key=_by_line)), tuple(sorted(answered, key=lambda answer: _by_line(answer.query)))
    )


def questions(look: Look, stock: Stock | None = None) -> Iterator[Raised]:
    """All questions about what is looked at, answered or not."""
    yield from strength(look)
    yield from two_strengths(look)
    yield from lengths(look)
    yield from torques(look)
    yield from two_units(look)
    yield from rounds(look)
    yield from orders(look)
    yield from threads(look)
    yield from lacking(look)
    yield from papers(look)
    yield from adjusting(look)
    if stock is not None:
        yield from windows(look, stock)


def _has_tools(stock: Stock | None) -> bool:
    return stock is not None and bool(stock.tools)


def _answer(question: Raised, answers: tuple[Accepted, ...]) -> Accepted | None:
    return next((answer for answer in answers if _means(answer, question)), None)


def _means(answer: Accepted, question: Raised) -> bool:
    """True where an answer names this question: by its code, or by its code and the key, or what stands around it."""
    code, _, key = answer.query.strip().partition(" ")
    if code.upper() != question.code:
        return False
    wanted = key.strip()
    own = [key_text(at) for at in question.places]
    return not wanted or any(each == wanted or each.startswith((f"{wanted}.", f"{wanted}[")) for each in own)


def _idle(found: tuple[Raised, ...], answers: tuple[Accepted, ...], *, with_tools: bool) -> Iterator[Raised]:
    """Answers to queries that are not, or no longer, there; what only tools can tell is not missed without them."""
    for index, answer in enumerate(answers):
        if any(_means(answer, each) for each in found):
            continue
        if answer.query.strip().upper().startswith((Code.NO_TOOL, Code.NO_ADAPTER)) and not with_tools:
            continue
        yield Raised(
            ("accepted", index),
            Code.NO_SUCH_QUERY,
            f"{quoted(answer.query)} is answered, and the review raises no such query",
            found=short(answer.query),
            allowed="codes of queries that there are, such as W401, or with a key: W401 stage[2]",
            hint="remove the answer, or check whether what it was about was changed by mistake",
        )


def _query(question: Raised, path: str, line_of: Lines) -> Query:
    # A key that is not there has the line of its table.
    table = line_of(question.at[:-1])
    at = next((each for each in question.places if line_of(each) != table), question.at)
    return Query(
        line=line_of(at),
        key=key_text(at),
        code=str(question.code),
        text=question.text,
        found=question.found,
        allowed=question.allowed,
        hint=question.hint,
        path=path,
    )


def _by_line(query: Query) -> tuple[bool, int, str]:
    return query.line is None, query.line or 0, query.code
