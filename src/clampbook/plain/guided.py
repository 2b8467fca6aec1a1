"""A new procedure by questions, line by line: the same questions, refusals and file as on the full screen."""

from __future__ import annotations

from clampbook.plain.beginning import NothingBegun
from clampbook.plain.face import Face
from clampbook.plain.lines import Lines
from clampbook.procedure.guided.answers import Answers
from clampbook.procedure.guided.questions import Chosen, Question, Typed, words_of
from clampbook.procedure.guided.remarks import remark
from clampbook.procedure.guided.talk import Refused, Talk, as_typed, back, sketch, take, wants_a_sample
from clampbook.procedure.library import samples
from clampbook.procedure.naming import own
from clampbook.run.gather.draft import Part, goes_back
from clampbook.run.prompts import Choice

_INTRODUCTION = (
    "Answer from the manual's page. Enter leaves a question out, * goes one back.",
    "Nothing is saved before the last question.",
)
_SAVE, _DISCARD = "1", "2"


class Guided:
    """Asks until all is answered. Raises NothingBegun where there are no more lines, or nothing is to be saved."""

    def __init__(self, face: Face, lines: Lines, unit: str | None = None) -> None:
        self._face = face
        self._lines = lines
        self._unit = unit  # of a torque that is typed without one

    def answers(self) -> Answers | str:
        """Give the answers, or the name of the sample that is started from."""
        talk = Talk()
        self._face.tell(_INTRODUCTION)
        while (question := talk.question) is not None:
            line = self._read(_part(question, talk.answers))
            if goes_back(line):
                talk = self._back(talk)
            elif wants_a_sample(talk, line):
                return self._sample()
            else:
                talk = self._taken(talk, question, line)
        return talk.answers

    def save(self, name: str, told: tuple[str, ...]) -> None:
        """Ask whether it is saved under this name, after what is `told` of it."""
        self._face.tell(told)
        choices = (Choice(_SAVE, "save", "save"), Choice(_DISCARD, "discard", "discard"))
        if self._chosen(Part("save", f"Save to {name}?", "choice", choices, enter=_SAVE)) == _DISCARD:
            raise NothingBegun

    def _back(self, talk: Talk) -> Talk:
        before = back(talk)
        if before is None:
            raise NothingBegun
        return before

    def _taken(self, talk: Talk, question: Question, line: str) -> Talk:
        """The talk after this line; what was answered before stays where nothing is typed."""
        taken = take(talk, line if line.strip() else as_typed(question, talk.answers), self._unit)
        if isinstance(taken, Refused):
            self._face.refused(taken.sentence)
            return talk
        if question.name in ("order", "written_order") and taken.answers.order is not None and taken.answers.how_many:
            self._face.tell([f"Order: {', '.join(map(own, sketch(taken.answers).groups[0].order))}"])
        about = remark(question.name, taken.answers)
        if about:
            self._face.tell([about])
        return taken

    def _sample(self) -> str:
        found = samples()
        choices = tuple(Choice(str(n), f"{each.title}: {each.shows}", each.name) for n, each in enumerate(found, 1))
        key = self._chosen(Part("sample", "Which sample is nearest? Its values are invented.", "choice", choices))
        return found[int(key) - 1].name

    def _chosen(self, part: Part) -> str:
        """The key of one of the choices."""
        keys = [choice.key for choice in part.choices]
        while True:
            line = self._read(part).strip() or part.enter
            if goes_back(line):
                raise NothingBegun
            if line in keys:
                return line
            self._face.refused(f"Choose {keys[0]} to {keys[-1]}, or * to leave.")

    def _read(self, part: Part) -> str:
        self._lines.throw_away_waiting()
        self._face.ask_part(part, None)
        line = self._lines.read()
        if line is None:
            raise NothingBegun
        return line


def _part(question: Question, answers: Answers) -> Part:
    """The question as a face shows it, with what was answered before."""
    values = [value for value, _ in question.choices] if isinstance(question, Chosen) else words_of(question)
    pairs = zip(values, words_of(question), strict=True)
    choices = tuple(Choice(str(n), words, value) for n, (value, words) in enumerate(pairs, 1))
    typed = as_typed(question, answers)
    now = f" Now: {typed}. Enter saves it again, - leaves it out." if typed else ""
    if isinstance(question, Typed) and question.otherwise and not typed:
        now = f" Enter alone: {question.otherwise}."
    return Part(question.name, f"{question.text}{now}", "choice" if isinstance(question, Chosen) else "line", choices)
