"""The questions about a joint, and which of them are due: a closed union by the way in which each is answered."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import assert_never

from clampbook.procedure.guided.answers import Answers


@dataclass(frozen=True, slots=True)
class Typed:
    """A text, a number or a quantity, as the reader takes it. `otherwise` is the answer where nothing is typed."""

    name: str
    short: str
    text: str
    otherwise: str = ""


@dataclass(frozen=True, slots=True)
class Counted:
    """A whole number from 1."""

    name: str
    short: str
    text: str


@dataclass(frozen=True, slots=True)
class Chosen:
    """One of several: the answer that each stands for, and its words."""

    name: str
    short: str
    text: str
    choices: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Several:
    """One or more texts in one line with this sign between them; `offers` are lists that can be chosen whole."""

    name: str
    short: str
    text: str
    between: str = ","
    offers: tuple[tuple[str, ...], ...] = ()
    examples: tuple[str, ...] = ()


Question = Typed | Counted | Chosen | Several

_ROUNDS = (("30 %", "60 %", "100 %"), ("50 %", "100 %"))  # shares that manuals often have; the person chooses
_PLACED = (
    ("circle", "in a circle, clockwise from the top"),
    ("row", "in one row"),
    ("two rows", "in two rows: 1 3 5 over 2 4 6"),
    ("rectangle", "around a rectangle, clockwise"),
    ("drawn", "as I draw them, row by row"),
)
_USED = (
    ("new every time", "no, new every time"),
    ("use again if measured", "only if measured"),
    ("use again", "yes"),
)
_ORDERED = (
    ("cross", "crosswise: each opposite the last"),
    ("spiral", "from the middle out"),
    ("circle", "around, one beside the other"),
    ("numbered", "by number"),
    ("written out", "another order, typed"),
)


FROM_A_SAMPLE = "1"
"""Typed in place of a name: not by questions, but from a sample of the library."""


_IN_THE_FILE = {
    "fasteners": "group.name",
    "count": "layout.circle",
    "placed": "layout.rows",
    "across": "layout.rows",
    "drawn": "layout.rows",
    "rounds": "stage.tighten.to",
    "within": "stage.tighten.within",
    "angles": "stage.turn.by",
    "angle_within": "stage.turn.within",
    "order": "group.sequence",
    "written_order": "group.order",
    "wait": "stage.wait.for",
    "recheck": "stage.recheck.method",
    "look": "stage.inspect.ask",
    "looker": "stage.inspect.by",
    "after": "follow_up.after",
    "or_use": "follow_up.or_use",
    "later": "follow_up.stage",
}
_OF_THE_FILE = frozenset({"title", "source", "revision"})


def place_of(question: Question) -> tuple[str, str]:
    """Give the table and the key under which the answer stands in the file."""
    of_all = f"{'procedure' if question.name in _OF_THE_FILE else 'group'}.{question.name}"
    table, _, key = _IN_THE_FILE.get(question.name, of_all).rpartition(".")
    return table, key


def words_of(question: Question) -> tuple[str, ...]:
    """Give what can be chosen by number, from 1."""
    match question:
        case Chosen(choices=choices):
            return tuple(words for _, words in choices)
        case Several(offers=offers):
            return tuple(", ".join(offer) for offer in offers)
        case Typed(name="title"):
            return ("or start from a sample of the library",)
        case Typed() | Counted():
            return ()
        case _ as never:
            assert_never(never)


def due(answers: Answers) -> tuple[Question, ...]:
    """Every question that these answers leave open or have answered, in the order of asking."""
    return (*_the_joint(answers), *_the_fasteners(), *_the_work(answers), *_the_end(answers), *_the_papers())


def _the_joint(answers: Answers) -> Iterator[Question]:
    yield Typed("title", "joint", "Which joint is this? Type its name, such as Coupling flange.")
    yield Typed("fasteners", "fasteners", "What are its fasteners called? Such as Head bolts.", otherwise="Bolts")
    yield Counted("count", "how many", "How many are there?")
    if answers.count is None:
        return
    yield Chosen("placed", "placed", "How do they stand?", _PLACED)
    if answers.placed == "rectangle":
        yield Counted("across", "along the top", "How many stand along the top, with both corners?")
    if answers.placed == "drawn":
        yield Several(
            "drawn", "rows", "Type the rows, from the top down: 1 3 5 / 2 4 6. A dot is an empty place.", between="/"
        )


def _the_fasteners() -> Iterator[Question]:
    yield Typed("thread", "thread", "Which thread? Such as M12, M10x1.25 or 3/8-16 UNC.")
    yield Typed("property_class", "class", "Which property class? Such as 8.8 or A2-70.")
    yield Typed("lubrication", "lubrication", "What is on thread and under head? Such as engine oil, or dry.")
    yield Several("nut_factor", "nut factor", "Which nut factor, lowest and highest? Such as 0.16, 0.22.")


def _the_work(answers: Answers) -> Iterator[Question]:
    yield Typed("target", "last torque", "To which torque at the end? Such as 70 N·m or 52 lbf·ft.")
    shares = answers.target is not None
    example = "Shares or torques" if shares else "Torques"
    yield Several(
        "rounds",
        "rounds",
        f"In which rounds? {example} with commas between. Enter alone: one.",
        offers=_ROUNDS if shares else (),
        examples=("10, 18, 24 N·m", "10/18/24 N·m", *(("30, 60, 100 %",) if shares else ())),
    )
    if answers.torques:
        such_as = "+-5 % or +0 -3 N·m" if len(answers.torques) < 2 else "+-5 %, or +0 -3 N·m at the last round"
        yield Typed("within", "allowed", f"How far off may a torque be? Such as {such_as}.")
    yield Several(
        "angles",
        "turns",
        "Turned by an angle then? Such as 90°, or 90 deg, 90 deg for two turns.",
        examples=("90°", "90 deg, 90 deg", "1/4 turn"),
    )
    if answers.angles is not None:
        yield Typed("angle_within", "angle allowed", "How far off may an angle be? Such as +4 -0 deg.")
        yield Several(
            "clamped",
            "clamped",
            "What is clamped, from the head on? Such as 72 mm aluminium.",
            examples=("72 mm aluminium", "10 mm steel, 62 mm aluminium"),
        )
        yield Chosen("fastener", "used again", "Are they used again?", _USED)
    yield Chosen("order", "order", "In which order?", _ORDERED)
    if answers.order == "written out":
        yield Typed("written_order", "order typed", "Type each position once, in order: 3, 4, 1, 2.")


def _the_end(answers: Answers) -> Iterator[Question]:
    yield Typed("wait", "wait", "Wait after the last pull? Such as 10 min or 4 h.")
    if answers.torques and answers.angles is None:
        ways = (
            ("once", "once over, at the last torque"),
            ("until none moves", "until none moves, 4 rounds at most"),
        )
        yield Chosen("recheck", "recheck", "Recheck them?", ways)
    yield Typed("look", "inspection", "What is inspected at the end? Type a question that yes or no answers.")
    if answers.look is not None:
        who = (("who works", "the one who does the work"), ("another person", "another person, as a hold point"))
        yield Chosen("looker", "inspected by", "Who inspects it?", who)
    yield Typed("after", "follow-up", "Follow-up after which time by the calendar? Such as 30 d.")
    sooner = "After which use" if answers.after is None else "Or after which use, if sooner"
    yield Typed("or_use", "after use", f"{sooner}? Such as 10 running hours, or 50 km.")
    if answers.after is not None or answers.or_use is not None:
        yield Chosen("later", "then", "What is done then?", tuple(_later(answers)))


def _later(answers: Answers) -> Iterator[tuple[str, str]]:
    if answers.torques and answers.angles is None:
        yield "recheck", "recheck them at the last torque"
    if answers.look is not None:
        yield "look", "inspect the same"
    yield "reminder", "as somebody decides then: a reminder only"


def _the_papers() -> Iterator[Question]:
    yield Typed("source", "source", "Where do the values come from? Manual, issue, page, and the day you looked.")
    yield Typed("revision", "revision", "Which revision of this procedure is it?", otherwise="A")
