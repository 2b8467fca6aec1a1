"""The topics of the help in a list, which becomes the places of a word as it is typed; the one chosen is opened."""

from __future__ import annotations

import re
from dataclasses import dataclass

from clampbook.help.finding import Place, found, meant
from clampbook.help.topics import TOPICS, Topic
from clampbook.screens.hinting import BACK_HINT, BEFORE_WORDS
from clampbook.screens.key_meaning import BACK, Wanted
from clampbook.screens.questions import Line, Question, Questions
from clampbook.screens.widgets.bottom_line import KeyHint

_SENTENCE = "Type a word to find it, or a number."
_LONGEST = 90  # signs of a place that are shown
_MARKUP = re.compile(r"[`*\\]")
_MOST = 50  # places in the list


@dataclass(frozen=True, slots=True)
class _Row:
    topic: Topic
    line: int
    text: str


class Topics(Questions):
    """All topics, or where the word stands that is typed."""

    def __init__(self) -> None:
        super().__init__(Question("topic", _SENTENCE, "line"))
        self._rows: tuple[_Row, ...] = ()
        self.words: str | None = None  # by which the list was made; None: not yet
        self._search("")

    def heading(self) -> str:
        """The top line."""
        if not self.words:
            return "Help · topics"
        return f"Help · “{self.words}”: {len(self._rows)} {'place' if len(self._rows) == 1 else 'places'}"

    def want(self) -> Wanted:
        """Words and numbers are typed."""
        return Wanted(field=True, text=True, at_once=frozenset(BACK), part=True)

    def keys(self) -> tuple[KeyHint, ...]:
        """The keys in use."""
        return (KeyHint("Enter", "open"), KeyHint("↑ ↓", "choose"), KeyHint(". and a number", "search it"), BACK_HINT)

    def show_field(self) -> None:
        """The list follows what is typed."""
        words = self._typed_words()
        if words is None or words == self.words:
            super().show_field()
            return
        self._search(words)
        near = None if self._rows else meant(words)
        self.notice = "" if self._rows else f"Nothing found. Did you mean {near}?" if near else "Nothing found."
        self.paint()

    def paint(self) -> None:
        """Everything as it is now, from its beginning."""
        self.query_one("#listed").scroll_to(y=0, animate=False)
        super().paint()

    def _search(self, words: str) -> None:
        self.words = words
        if words:
            self._rows = tuple(_Row(place.topic, place.line, _in_a_line(place)) for place in found(words)[:_MOST])
        else:
            self._rows = tuple(_Row(topic, 0, f"{topic.title} · {topic.about}") for topic in TOPICS)
        lines = tuple(Line(str(number), row.text) for number, row in enumerate(self._rows, 1))
        self.part = Question("topic", _SENTENCE, "line", lines)

    def _typed_words(self) -> str | None:
        """The words that were typed; None where it is a number of the list, which changes nothing in it."""
        typed = self.field.strip()
        if typed and typed[0] in BEFORE_WORDS:
            return typed[1:]
        return None if self._row(typed) is not None else typed

    def _row(self, typed: str) -> _Row | None:
        return self._rows[int(typed) - 1] if typed.isdecimal() and 0 < int(typed) <= len(self._rows) else None

    def take(self, line: str) -> None:
        """Open the topic of this number, or the first place of the word."""
        typed = line.strip()
        row = self._row(typed) or (self._rows[0] if typed and self._rows else None)
        self.field = line
        if row is None:
            self.tell("Type a word, or a number on the list.")
            return
        from clampbook.screens.topic_page import TopicPage

        self.field = self.words or ""
        self.app.push_screen(TopicPage(row.topic, row.line))

    def back(self) -> None:
        """All topics again; from there to where one was."""
        if self.words:
            self.show_field()
        elif self.is_current:
            self.dismiss()

    def explain(self) -> None:
        """F1: the topic about keys."""
        from clampbook.help.topics import topic_named
        from clampbook.screens.topic_page import TopicPage

        keys = topic_named("keys")
        assert keys is not None
        self.app.push_screen(TopicPage(keys))


def _in_a_line(place: Place) -> str:
    """A place as a line of the list: where it is, and how it begins."""
    text = _MARKUP.sub("", " ".join(line.strip("|- ") for line in place.lines))
    return f"{_MARKUP.sub('', place.where)}: {text if len(text) <= _LONGEST else f'{text[:_LONGEST].rstrip()} …'}"
