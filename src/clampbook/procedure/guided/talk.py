"""Asked and answered: one question after the other, any of them again, and nothing taken that the reader refuses."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import assert_never

from clampbook.faults import Faulty
from clampbook.procedure.guided.answers import NAMES, NOTHING, Answer, Answers
from clampbook.procedure.guided.as_written import hours_run, in_order, listed, rounds, with_unit
from clampbook.procedure.guided.page import page
from clampbook.procedure.guided.placing import wrong
from clampbook.procedure.guided.questions import FROM_A_SAMPLE, Chosen, Counted, Question, Several, Typed, due
from clampbook.procedure.model import Procedure
from clampbook.procedure.reader import read
from clampbook.text import TextFault, as_sentence, clean, ended, quoted

LEFT_OUT = "-"
_MOST = 500  # characters of an answer
_LONGEST_COUNT = 6  # digits
_STANDS_IN = Answers(title="Joint", count="1", target="1 N·m", within="±50 %", angle_within="±50 %")


@dataclass(frozen=True, slots=True)
class Refused:
    """A line that is no answer, and why."""

    sentence: str


@dataclass(frozen=True, slots=True)
class Talk:
    """The answers so far, how many of the questions that are due stand before the one at hand, and how many
    were asked at the furthest."""

    answers: Answers = NOTHING
    asked: int = 0
    furthest: int = 0

    @property
    def questions(self) -> tuple[Question, ...]:
        """All questions that are due."""
        return due(self.answers)

    @property
    def question(self) -> Question | None:
        """The question at hand; None where all were asked."""
        found = self.questions
        return found[self.asked] if self.asked < len(found) else None

    @property
    def may_grow(self) -> bool:
        """True where an answer that is still to come can lead to more questions than are due now."""
        question = self.question
        if question is None:
            return False
        later = NAMES[NAMES.index(question.name) + 1 :]
        return not {each.name for each in self.questions}.issuperset(later)


def take(talk: Talk, line: str, unit: str | None = None) -> Talk | Refused:
    """The talk with the question at hand answered by this line; nothing typed, or - alone, leaves it out. A torque
    without its unit is in `unit`, that of the book, where it has one."""
    question = talk.question
    assert question is not None
    try:
        text = clean(line, what="the answer", most=_MOST)
    except TextFault as fault:
        return Refused(as_sentence(fault.sentence))
    answer = _left_out(question) if text in ("", LEFT_OUT) else _read(question, text, talk.answers, unit)
    if isinstance(answer, Refused):
        return answer
    answers = _with(talk.answers, question.name, answer)
    if isinstance(answers, Refused):
        return Refused(as_sentence(re.sub(f"^{question.name}\\b", question.short, answers.sentence)))
    return Talk(answers, talk.asked + 1, max(talk.asked + 1, talk.furthest))


def resumed(answers: Answers, asked: int) -> Talk | None:
    """The talk that had come so far; None where these are no answers that could have been given."""
    counted = all(text is None or _is_a_count(text) for text in (answers.count, answers.across))
    if not counted or not _all_due(answers) or _refusal(answers) is not None:
        return None
    asked = min(max(asked, 0), len(due(answers)))
    return Talk(answers, asked, asked)


def wants_a_sample(talk: Talk, line: str) -> bool:
    """True where the line does not name a joint, but asks for a sample to start from."""
    return talk.question is not None and talk.question.name == "title" and line.strip() == FROM_A_SAMPLE


def back(talk: Talk) -> Talk | None:
    """The question before; None where there is none."""
    return replace(talk, asked=talk.asked - 1) if talk.asked else None


def to_the_end(talk: Talk) -> Talk:
    """The talk with all that is still to be asked left out; what was answered stays."""
    last = len(talk.questions)
    return replace(talk, asked=last, furthest=last)


def lacking(answers: Answers) -> tuple[Question, ...]:
    """The questions that were left open though no file can be walked without their answer."""
    needed = {"title", "count", "within", "angle_within", *(() if answers.torques else ("target",))}
    return tuple(each for each in due(answers) if each.name in needed and answers.of(each.name) is None)


def as_typed(question: Question, answers: Answers) -> str:
    """The answer to a question as it would be typed again; empty where it was left out."""
    answer = answers.of(question.name)
    match question:
        case Typed() | Counted():
            return answer if isinstance(answer, str) else ""
        case Chosen(choices=choices):
            return next((str(n) for n, (value, _) in enumerate(choices, 1) if value == answer), "")
        case Several(between=between):
            return _between(between).join(answer) if isinstance(answer, tuple) else ""
        case _ as never:
            assert_never(never)


def in_words(question: Question, answers: Answers) -> str:
    """The answer to a question as it is shown among the others."""
    answer = answers.of(question.name)
    if isinstance(question, Chosen) and answer is not None:
        return next((words for value, words in question.choices if value == answer), "")
    return as_typed(question, answers)


def sketch(answers: Answers) -> Procedure:
    """The joint as far as it is known, read as the file will be: its picture and the order of work."""
    return read(page(_standing_in(answers), "N·m").encode())


def _left_out(question: Question) -> Answer | None:
    return question.otherwise or None if isinstance(question, Typed) else None


def _read(question: Question, text: str, before: Answers, unit: str | None) -> Answer | Refused:
    """The line as an answer, by the way in which the question is answered."""
    match question:
        case Typed(name="after") if hours_run(text) is not None:
            return Refused(f"{quoted(text)} is a use, not a time by the calendar. Type - here, then the use.")
        case Typed(name="or_use"):
            return hours_run(text) or text
        case Typed(name="target"):
            return with_unit(text, unit)
        case Typed(name="written_order"):
            return in_order(text, before.labels)
        case Typed():
            return text
        case Counted():
            if not _is_a_count(text):
                return Refused(f"{quoted(text)} is not a number of fasteners. Type a whole number from 1.")
            return str(int(text))
        case Chosen(choices=choices):
            if text.isdecimal() and 0 < int(text) <= len(choices):
                return choices[int(text) - 1][0]
            return Refused(f"{quoted(text)} is not a choice. Choose 1 to {len(choices)}, or press Enter to leave it.")
        case Several(between=between, offers=offers):
            if text.isdecimal() and 0 < int(text) <= len(offers):
                return offers[int(text) - 1]
            found = rounds(text, before.target, unit) if question.name == "rounds" else listed(text, between)
            if question.name == "nut_factor" and len(found) == 1:  # one number is its lowest and its highest
                found *= 2
            return found or Refused("Nothing typed.")
        case _ as never:
            assert_never(never)


def _is_a_count(text: str) -> bool:
    return text.isdecimal() and 0 < int(text) and len(text) <= _LONGEST_COUNT


def _between(sign: str) -> str:
    return f"{sign} " if sign == "," else f" {sign} "


def _with(answers: Answers, name: str, answer: Answer | None) -> Answers | Refused:
    """The answers with this one; later ones that no longer go with it are asked again.

    The answer is refused where it does not even stand with those before it.
    """
    changed = answers.giving(name, answer)
    if _refusal(changed) is None and _all_due(changed):
        return changed
    later = NAMES[NAMES.index(name) + 1 :]
    found = changed
    for each in later:
        found = found.giving(each, None)
    refused = _refusal(found)
    if refused is not None:
        return Refused(refused)
    for each in later:
        again = found.giving(each, answers.of(each))
        if _all_due(again) and _refusal(again) is None:
            found = again
    return found


def _all_due(answers: Answers) -> bool:
    """True where each answer belongs to a question that is due, and can be one of its own."""
    questions = {question.name: question for question in due(answers)}
    return all(_belongs(questions.get(name), answers.of(name)) for name in NAMES)


def _belongs(question: Question | None, answer: Answer | None) -> bool:
    if question is None or answer is None:
        return answer is None
    return not isinstance(question, Chosen) or answer in [value for value, _ in question.choices]


def _refusal(answers: Answers) -> str | None:
    """Tell why the reader refuses these answers; None where it takes them all."""
    apart = wrong(answers)
    if apart is not None:
        return apart
    try:
        sketch(answers)
    except Faulty as faulty:
        fault = faulty.faults[0]
        return f"{ended(fault.text)} {as_sentence(fault.hint)}" if fault.hint else ended(fault.text)
    return None


def _standing_in(answers: Answers) -> Answers:
    """The same with stand-ins for what a file must have, so that the reader looks at all the rest."""
    for name in ("title", "count", "within", "angle_within"):
        if answers.of(name) is None and not (name == "count" and answers.drawn):
            answers = answers.giving(name, _STANDS_IN.of(name))
    return answers if answers.torques else answers.giving("target", _STANDS_IN.target)
