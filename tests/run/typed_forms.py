"""A form that is typed in, answer by answer."""

from __future__ import annotations

import random

from hypothesis import HealthCheck, settings
from invented import ways

from bench import INES, TOMAS, Bench, resolved
from clampbook.run import answers as a
from clampbook.run import asked
from clampbook.run import prompts as ask
from clampbook.run.answers import Accepted, Refused
from clampbook.run.gather.keys import Keys
from clampbook.run.gather.parts import Draft, Part, begin, follow, next_part

EXAMPLES = settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
# What a person at the work is told, and somebody who types never is.
ORDERS = (
    "pull ",
    "turn on",
    "loosen ",
    "put ",
    "wind ",
    "pick up",
    "set it",
    "press + when",
    "type what w",
    "measure,",
)


class Form(Bench):
    """A form that is typed in, answer by answer."""

    def takes(self, answer: a.Answer) -> None:
        """Type one answer, which is taken."""
        outcome = self.answer(answer)
        assert isinstance(outcome, Accepted), outcome

    def until(self, kind: type[ask.Prompt]) -> None:
        """Type by a steady hand until this is asked."""
        for _ in range(400):
            if isinstance(self.prompt, kind):
                return
            self.answer(self.steady())
        raise AssertionError(self.prompt)

    def types(self, chance: random.Random, blank: float, wrong: float) -> None:
        """Type it in to its end: now and then nothing stands there, or something that is not to the procedure."""
        for _ in range(4000):
            asked_now = self.prompt
            if isinstance(asked_now, ask.Ended):
                return
            orders_nothing(asked_now)
            answer = self._answer(asked_now, chance, blank, wrong)
            outcome = self.answer(answer)
            if not isinstance(outcome, Accepted):
                outcome = self.answer(self.steady())
            assert isinstance(outcome, Accepted), (asked_now, answer, outcome)
        raise AssertionError("the form does not come to its end")

    def _answer(self, prompt: ask.Prompt, chance: random.Random, blank: float, wrong: float) -> a.Answer:
        keys = asked.keys(prompt)
        if isinstance(prompt, ask.Decide):
            return resolved(chance.choice(ways(prompt)))
        if chance.random() < blank and (nothing := key(keys, "-")) is not None:
            return nothing
        if chance.random() < blank / 2 and (ticked := key(keys, "+")) is not None:
            return ticked
        if chance.random() < wrong and isinstance(prompt, ask.Tighten | ask.Turn | ask.Measure):
            return a.Value(chance.choice(("5", "22.1", "60", "97", "0.4", "95.9")))
        if isinstance(prompt, ask.PaperTime):
            return a.PaperTime(None, chance.choice((None, INES, TOMAS)))
        return self.steady()


def key(keys: Keys, typed: str) -> a.Answer | None:
    """What a key begins, where it is there."""
    return next((choice.gives for choice in keys.choices if choice.key == typed and choice.gives is not None), None)


def orders_nothing(prompt: ask.Prompt) -> None:
    """No question tells anybody to work, and each fits a line."""
    said = asked.sentence(prompt)
    told = said.casefold()
    assert not [each for each in ORDERS if each in told and "what stands on the form" not in told], said


def said(form: Form, *lines: str) -> Part | Refused | None:
    """What is still asked once these lines were typed, or a refusal; None where it was taken."""
    first, *others = lines
    draft: Draft | Refused | None = begin(form.prompt, first)
    while isinstance(draft, Draft):
        found = next_part(form.prompt, form.session, draft)
        if isinstance(found, Refused):
            return found
        if isinstance(found, Part):
            if not others:
                return found
            draft = follow(form.prompt, draft, found, others.pop(0), lambda _: form.session.people[0])
            continue
        outcomes = [form.answer(answer) for answer in found]
        return next((outcome for outcome in outcomes if isinstance(outcome, Refused)), None)
    return draft
