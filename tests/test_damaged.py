"""Damaged procedure files, daybooks and answers: whatever is read or typed, a sentence comes of it, never a traceback.

CLAMPBOOK_DAMAGED sets how many are made in all (default 10 000); each has a number, and the same number is always the
same damage.
"""

from __future__ import annotations

import json
import os
import random
import tomllib
import unicodedata
from collections import Counter
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import tomli_w

from bench import INES, MAUD, START, TOOLS, Bench
from clampbook.faults import Faulty, show
from clampbook.ledger.lines import NOTHING_BEFORE, encode, split
from clampbook.ledger.refusals import LedgerFault
from clampbook.people import Person
from clampbook.plain.objects import asked as as_object
from clampbook.procedure.reader import read
from clampbook.record.frozen import RecordFault
from clampbook.record.record import build
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import parts
from clampbook.run import plan as plans
from clampbook.run import prompts as ask
from clampbook.run.answers import Accepted, Refused, Unsure
from clampbook.run.draft import Draft, Part
from clampbook.run.prompting import prompt
from clampbook.run.session import Session
from clampbook.run.walk import read_progress
from damages import OTHERS, Lines, bytes_damaged, chained, daybook_damaged, value_damaged

ALL = int(os.environ.get("CLAMPBOOK_DAMAGED", "10000"))
PARTS = 4  # of each kind, so that several can be looked at side by side
ROOT = Path(__file__).parents[1]
GOLDEN = Path(__file__).parent / "golden"
FINISHED = ("crank", "flange", "follow-up", "given-up", "head")
SHEETS = [path.read_bytes() for path in sorted((ROOT / "procedures").glob("*.toml"))]


def numbers(part: int, share: int) -> range:
    """The numbers of a part of what one kind of damage has of all, in tenths."""
    return range(part, ALL * share // 10, PARTS)


def chances(kind: str, part: int, share: int) -> Iterator[random.Random]:
    """Dice for each of them."""
    for number in numbers(part, share):
        yield random.Random(f"{kind} {number}")


@cache
def frozen(name: str) -> tuple[bytes, bytes, bytes]:
    """Procedure, plan and daybook of a finished run."""
    procedure, plan, daybook = (
        (GOLDEN / name / each).read_bytes() for each in ("procedure.toml", "plan.json", "daybook.jsonl")
    )
    return procedure, plan, daybook


@cache
def planned(name: str) -> plans.Plan:
    """Its plan."""
    return plans.decode(frozen(name)[1])


@cache
def kept(name: str) -> Lines:
    """The lines of its daybook."""
    return [json.loads(line) for line in frozen(name)[2].splitlines()]


def without_none(tree: Any) -> Any:
    """TOML has no word for nothing; what is nothing is left out."""
    match tree:
        case dict():
            return {key: without_none(value) for key, value in tree.items() if value is not None}
        case list():
            return [without_none(value) for value in tree if value is not None]
        case _:
            return tree


def told(sentence: str) -> None:
    """A sentence that can be printed and says something."""
    assert len(sentence) > 10, sentence
    assert "Traceback" not in sentence
    assert [] == [sign for sign in sentence if unicodedata.category(sign) in ("Cc", "Cf", "Cs") and sign != "\n"]


class TestProcedures:
    """A procedure file, damaged as bytes and as values."""

    @pytest.mark.parametrize("part", range(PARTS))
    def test_damaged_bytes_are_faults_or_a_procedure(self, part: int) -> None:
        """Flipped, cut, swapped, doubled: most cannot be read, and each says why."""
        faulty = sum(
            self.faults(bytes_damaged(chance, chance.choice(SHEETS))) for chance in chances("bytes of a sheet", part, 2)
        )

        assert faulty > len(numbers(part, 2)) // 2

    @pytest.mark.parametrize("part", range(PARTS))
    def test_other_values_are_faults_or_a_procedure(self, part: int) -> None:
        """A value of another kind, too large, too deep, in another place, or lost."""
        faulty = 0
        for chance in chances("values of a sheet", part, 2):
            tree = tomllib.loads(chance.choice(SHEETS).decode())
            for _ in range(chance.choice((1, 1, 2, 4))):
                value_damaged(chance, tree)
            faulty += self.faults(tomli_w.dumps(without_none(tree)).encode())

        assert faulty > len(numbers(part, 2)) // 2

    @staticmethod
    def faults(data: bytes) -> bool:
        """Whether this file has faults; each is told."""
        try:
            read(data)
        except Faulty as faulty:
            for fault in faulty.faults:
                told(show(fault))
            return True
        return False


class TestDaybooks:
    """A daybook that is damaged as bytes is found by its chain; one that was written wrong, by what it says."""

    @pytest.mark.parametrize("part", range(PARTS))
    def test_damaged_bytes_are_told(self, part: int) -> None:
        """No byte can change, get lost or come in without a sentence, but for whole lines at the end."""
        for chance in chances("bytes of a daybook", part, 1):
            name = chance.choice(FINISHED)
            self.told_or_taken(name, bytes_damaged(chance, frozen(name)[2]))

    @pytest.mark.parametrize("part", range(PARTS))
    def test_lines_that_say_something_else_are_told_or_taken(self, part: int) -> None:
        """Chained as it should be, a daybook can still tell of steps, lines and values that cannot be."""
        refused = 0
        for chance in chances("lines of a daybook", part, 3):
            name = chance.choice(FINISHED)
            lines = chained(daybook_damaged(chance, kept(name)))
            refused += self.told_or_taken(name, b"".join(line + b"\n" for line in lines))

        assert refused > len(numbers(part, 3)) // 5

    @staticmethod
    def told_or_taken(name: str, daybook: bytes) -> bool:
        """Whether the run cannot be taken up; where it can, it asks something. Its record is made or refused."""
        procedure, plan, _ = frozen(name)
        try:
            build(procedure, plan, daybook)
        except RecordFault as fault:
            told(fault.sentence)
        try:
            progress = read_progress(Path("daybook.jsonl"), planned(name), split(daybook)[0])
        except LedgerFault as fault:
            told(fault.sentence)
            return True
        session = Session(planned(name), progress, TOOLS, (INES, MAUD), START)
        as_object(prompt(session), session)
        return False


class TestAnswers:
    """Anything typed at any question, and answers that no keyboard could make."""

    @pytest.mark.parametrize("part", range(PARTS))
    def test_whatever_is_typed_is_an_answer_or_a_sentence(self, part: int) -> None:
        """Signs, numbers, units, keys and menus at whatever moment a run has come to."""
        walkers = [Wanderer(random.Random(f"typed {part} {name}"), name) for name in FINISHED]

        came = Counter(walkers[number % len(walkers)].types_anything() for number in numbers(part, 1))

        assert came["stored"] > came.total() // 20
        assert came["refused"] > came.total() // 20

    @pytest.mark.parametrize("part", range(PARTS))
    def test_whatever_is_answered_is_taken_or_refused(self, part: int) -> None:
        """Answers to another question, with parts that belong to nothing."""
        walkers = [Wanderer(random.Random(f"answered {part} {name}"), name) for name in FINISHED]

        came = Counter(walkers[number % len(walkers)].answers_anything() for number in numbers(part, 1))

        assert came["stored"] > came.total() // 20
        assert came["refused"] > came.total() // 4


WANDA = Person("wanda", "Wanda")
TEXTS = tuple(each for each in OTHERS if isinstance(each, str))
TYPED = (
    *TEXTS,
    *("+", "-", "*", "/", "?", ".", ",", "1", "2", "3", "4", "5", "22.1", "22,1 lbf·ft", "29.5", "92", "1.20", "95.36"),
    *(
        "- 17",
        "- x",
        "/ a note",
        "/ \u202e",
        "pause",
        "W1",
        "w5",
        "Okke",
        "all",
        "1 2 3",
        "\x1b[31m",
        "\x1b",
        "\t",
        "\x00",
    ),
    *(
        "9" * 499,
        "9" * 501,
        "é" * 300,
        "e\u0301",
        "\ud800",
        "1e5",
        "1_000",
        "٣",
        "½",
        "−5",
        "--5",
        "30 mm",
        "30 Nm Nm",
        "%s{}",
    ),
    *(f"* {number}" for number in range(19)),
)


class Wanderer:
    """Somebody at a run who types anything, and now and then what is asked for, so that the run goes on."""

    def __init__(self, chance: random.Random, name: str) -> None:
        self.chance = chance
        self.name = name
        self.bench = Bench(planned(name))

    def types_anything(self) -> str:
        """Lines at a question until something comes of them: what it was."""
        asked = self.next_question()
        draft = parts.begin(asked, self.typed(()))
        for _ in range(9):
            if isinstance(draft, Refused):
                told(draft.sentence)
                return "refused"
            if parts.shows(draft) is not None:
                return "shown"
            found = parts.next_part(asked, self.bench.session, draft)
            if isinstance(found, tuple):
                return [self.given(answer) for answer in found][-1]
            after = found if isinstance(found, Refused) else self.part(asked, draft, found)
            if after is None:
                return "left"
            draft = after
        return "left"

    def answers_anything(self) -> str:
        """An answer as no face would make it."""
        self.next_question()
        return self.given(self.chance.choice(ANSWERS)(self.text, self.chance))

    def next_question(self) -> ask.Prompt:
        """A run that is over is begun anew, one that stands still is taken up, and at times one step goes well."""
        if self.bench.session.progress.stopped is not None:
            self.bench.resume(self.chance.choice((5, 700, -50, 10**8)))
        if isinstance(self.bench.prompt, ask.Ended):
            self.bench = Bench(planned(self.name))
        if self.chance.random() < 0.5:
            if isinstance(self.bench.prompt, ask.Wait):
                self.bench.wait(700)
            self.bench.answer(self.bench.steady())
        return self.bench.prompt

    def part(self, asked: ask.Prompt, draft: Draft, part: Part) -> Draft | Refused | None:
        """One part of an answer."""
        line = draft.ahead if draft.ahead is not None else self.typed(tuple(choice.key for choice in part.choices))
        return parts.follow(asked, draft, part, line, lambda _: WANDA)

    def given(self, answer: a.Answer) -> str:
        """What became of an answer; one that was stored can be written down, and the next question shown."""
        outcome = self.bench.answer(answer)
        match outcome:
            case Refused(sentence=sentence):
                told(sentence)
                return "refused"
            case Unsure(doubt=doubt):
                told(doubt)
                return "in doubt"
            case Accepted(event=event):
                encode(e.fields(event), 1, NOTHING_BEFORE)
                as_object(self.bench.prompt, self.bench.session)
                return "stored"

    def typed(self, keys: tuple[str, ...]) -> str:
        """A line: one of the keys, or anything."""
        return self.chance.choice(keys) if keys and self.chance.random() < 0.6 else self.chance.choice(TYPED)

    def text(self) -> str:
        """A text: anything."""
        return self.chance.choice(TYPED)


Answering = Callable[[Callable[[], str], random.Random], a.Answer]
ANSWERS: tuple[Answering, ...] = (
    lambda text, _: a.Value(text()),
    lambda _, __: a.Plus(),
    lambda _, __: a.LeaveOut(),
    lambda text, _: a.TakeUp(text(), text()),
    lambda text, _: a.ScaleShows(text(), text()),
    lambda _, chance: a.Zero(chance.choice(("good", "came back wrong", "unknown"))),
    lambda text, chance: a.Look(chance.choice(("yes", "no")), (text(), "1"), chance.choice((None, MAUD)), text()),
    lambda text, _: a.Put(text()),
    lambda text, chance: a.Still(chance.random() < 0.5, chance.choice((None, text()))),
    lambda text, _: a.DoneUpTo(text()),
    lambda _, chance: a.Found(chance.choice(("not begun", "begun, mark kept", "mark lost", "finished, not typed"))),
    lambda text, chance: a.Resolve(text(), text(), text(), chance.choice((None, MAUD)), chance.randint(-1, 40)),
    lambda text, chance: a.Resolve(
        chance.choice(("concession", "new fastener", "go back", "do again")), text(), text()
    ),
    lambda text, _: a.GoOnEarly(text()),
    lambda _, chance: a.PutBack(chance.choice((None, True, False))),
    lambda text, chance: a.Sign(chance.choice((INES, MAUD)), text()),
    lambda _, __: a.SkipSignOff(),
    lambda text, chance: a.Finish(chance.random() < 0.5, text()),
    lambda text, chance: a.BadPull(text(), chance.choice((None, text()))),
    lambda text, chance: a.PulledAnother(chance.choice(("1", "2", text())), chance.choice((None, text()))),
    lambda text, _: a.LeaveForLater(text()),
    lambda text, chance: a.Broke(chance.choice(("broken", "wrong or missing part")), text()),
    lambda text, chance: a.Correct(text(), "from memory", chance.choice((None, -1, 0, 3, 9, 10**6))),
    lambda text, chance: a.VoidStored(text(), chance.choice((None, -1, 0, 3, 9, 10**6))),
    lambda text, chance: a.Note(text(), chance.choice((None, -1, 0, 3, 10**6))),
    lambda _, __: a.Pause(),
    lambda text, _: a.Hold(text()),
    lambda text, chance: a.Drop(chance.choice(("w5", text())), text()),
    lambda text, chance: a.DoubtTool(chance.choice(("w5", text())), text(), chance.choice((None, -1, 2, 10**6))),
    lambda text, chance: a.Arrived(text(), chance.choice((None, "1", text()))),
    lambda _, chance: a.TurnMap(chance.randint(-1, 5), chance.random() < 0.5),
    lambda _, chance: a.HandTo(WANDA, chance.choice((None, MAUD))),
    lambda text, _: a.GiveUp(text()),
)


class TestFoundOnce:
    """Damages that once got through."""

    def test_a_stage_without_group_where_no_group_has_a_name(self) -> None:
        """The names that are missing are told; which of them a stage means cannot be asked."""
        groups = '[[group]]\npositions = "1-2"\n[[group]]\npositions = "3-4"\n'
        sheet = f'format = 1\ntitle = "Cover"\nrevision = "A"\nunit = "N·m"\n{groups}[[stage]]\ndo = "loosen"\n'

        with pytest.raises(Faulty) as caught:
            read(sheet.encode())

        assert ["group[1].name", "group[2].name"] == [fault.key for fault in caught.value.faults][:2]

    def test_half_a_letter_in_the_name_of_a_position(self) -> None:
        """It is shown as what it is, so that it can be printed."""
        bench = Bench(planned("head"))
        bench.steadily(until=ask.Inspect)

        outcome = bench.answer(a.Look("no", ("\ud800",)))

        assert isinstance(outcome, Refused)
        assert outcome.sentence.startswith("\\u{d800} is none of")
