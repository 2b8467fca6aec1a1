"""Anything typed at any question of a run, and answers that no keyboard could make: each is stored or refused in words.

CLAMPBOOK_DAMAGED sets how many damages are made in all (default 10 000), two tenths of them here.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Callable

import pytest

from bench import INES, MAUD, Bench
from clampbook.ledger.lines import NOTHING_BEFORE, encode
from clampbook.people import Person
from clampbook.plain.objects import asked as as_object
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.answers import Accepted, Refused, Unsure
from clampbook.run.gather import parts
from clampbook.run.gather.draft import Draft, Part
from damages import FINISHED, OTHERS, PARTS, numbers, planned, told


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
            case Unsure(unusual=unusual):
                told(unusual)
                return "unusual"
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
    lambda _, chance: a.Zero(chance.choice(("good", "wrong", "unknown"))),
    lambda text, chance: a.Look(chance.choice(("yes", "no")), (text(), "1"), chance.choice((None, MAUD)), text()),
    lambda text, _: a.Put(text()),
    lambda text, chance: a.Still(chance.random() < 0.5, chance.choice((None, text()))),
    lambda text, _: a.DoneUpTo(text()),
    lambda _, chance: a.Found(
        chance.choice(("not started", "started, mark still there", "mark lost", "finished, not entered"))
    ),
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
    lambda text, _: a.Skip(text()),
    lambda text, chance: a.Broke(chance.choice(("broken", "wrong or missing part")), text()),
    lambda text, chance: a.Correct(text(), "from memory", chance.choice((None, -1, 0, 3, 9, 10**6))),
    lambda text, chance: a.VoidStored(text(), chance.choice((None, -1, 0, 3, 9, 10**6))),
    lambda text, chance: a.Note(text(), chance.choice((None, -1, 0, 3, 10**6))),
    lambda _, __: a.Pause(),
    lambda text, _: a.Hold(text()),
    lambda text, chance: a.Drop(chance.choice(("w5", text())), text()),
    lambda text, chance: a.SuspectTool(chance.choice(("w5", text())), text()),
    lambda text, chance: a.Arrived(text(), chance.choice((None, "1", text()))),
    lambda _, chance: a.TurnMap(chance.randint(-1, 5), chance.random() < 0.5),
    lambda _, chance: a.HandTo(WANDA, chance.choice((None, MAUD))),
    lambda text, _: a.GiveUp(text()),
)


def test_half_a_letter_in_the_name_of_a_position() -> None:
    """It is shown as what it is, so that it can be printed."""
    bench = Bench(planned("head"))
    bench.steadily(until=ask.Inspect)

    outcome = bench.answer(a.Look("no", ("\ud800",)))

    assert isinstance(outcome, Refused)
    assert outcome.sentence.startswith("\\u{d800} is not among")
