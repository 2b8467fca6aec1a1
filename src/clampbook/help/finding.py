"""Finding a word in all topics: the places where it stands, each with the lines around it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache

from clampbook.faults import nearest
from clampbook.help.key_names import is_a_sign, key_meant, tells_of
from clampbook.help.topics import TOPICS, Topic, without_links

_HEADING = re.compile(r"#+ (.+)")
_FENCE = "```"
_ITEM = re.compile(r"\s*[-*] |\s*\d+\. ")
_WORD = re.compile(r"[\w-]{3,}")
_OF_A_KEY = re.compile(r"- `\[*(?:\w+\.)?(\w+)(?: =|\])")
_FIRST = re.compile(r"\w")
_KEYS = "keys"  # the page about them
_ALIKE = 0.8  # of the letters: words of another language are near some word of this one by half of theirs
_AROUND = 2  # lines of code on either side


@dataclass(frozen=True, slots=True)
class Place:
    """A place in a topic: the heading above it, and its lines, which are a paragraph, a line of a list or some code.

    `line` is the number of its first line in the page, from 0.
    """

    topic: Topic
    heading: str
    lines: tuple[str, ...]
    line: int
    is_code: bool = False

    @property
    def where(self) -> str:
        """The page and the heading, such as "Procedure files · Groups"."""
        return self.topic.title if self.heading == self.topic.title else f"{self.topic.title} · {self.heading}"


def found(words: str) -> tuple[Place, ...]:
    """Every place that has words which begin with all of these, in any case. One that begins with them comes first, and
    of a key what the page about keys says of it."""
    key = key_meant(words)
    of_a_key = () if key is None else _about(key)
    if of_a_key:
        return of_a_key
    asked = [re.compile(rf"(?<![^\W_]){re.escape(word)}", re.IGNORECASE) for word in words.split()]
    if not asked:
        return ()
    met = [found for place in _places() if (found := _met(place, asked)) is not None]
    return tuple(sorted(met, key=lambda place: _rank(place, words.split()[0].casefold(), asked[0])))


def meant(words: str) -> str | None:
    """The word of the topics that was probably meant; None where none is close."""
    return nearest(words, _words(), alike=_ALIKE)


def _about(key: str) -> tuple[Place, ...]:
    """The places of the page about keys that tell of one, first the lines that begin with it; then those of other
    pages, where it has a name and is no sign that stands everywhere."""
    told = {place: at for place in _places() if (at := tells_of(key, "\n".join(place.lines))) is not None}
    own = [place for place in told if place.topic.name == _KEYS]
    others = [] if is_a_sign(key) else [place for place in told if place.topic.name != _KEYS and not place.is_code]
    return (*sorted(own, key=lambda place: told[place] > 0), *others) if own else ()


def _met(place: Place, asked: Sequence[re.Pattern[str]]) -> Place | None:
    """The place where the words stand in it; of code only the lines around them."""
    text = "\n".join((*place.lines, place.heading))
    if not all(word.search(text) for word in asked):
        return None
    if not place.lines[0].startswith(_FENCE):
        return place
    at = next((at for at, line in enumerate(place.lines) if asked[0].search(line)), 1)
    shown = place.lines[max(1, at - _AROUND) : min(len(place.lines) - 1, at + _AROUND + 1)]
    return replace(place, lines=shown, is_code=True) if any(shown) else None


def _rank(place: Place, word: str, begun: re.Pattern[str]) -> int:
    """The line of a key says most about its name, then what begins with the word or stands under it."""
    key = _OF_A_KEY.match(place.lines[0])
    if key is not None and key[1] == word:
        return 0
    return next((rank for rank, text in enumerate((place.lines[0], place.heading), 1) if _opens(text, begun)), 3)


def _opens(text: str, word: re.Pattern[str]) -> bool:
    """True where the word is the first of this line, whatever signs stand before it."""
    first = _FIRST.search(text)
    return first is not None and word.match(text, first.start()) is not None


@cache
def _places() -> tuple[Place, ...]:
    return tuple(place for topic in TOPICS for place in _places_of(topic))


def _places_of(topic: Topic) -> Iterator[Place]:
    heading = topic.title
    for at, lines in _blocks(without_links(topic.text).splitlines()):
        if named := _HEADING.fullmatch(lines[0]):
            heading = named[1]
        else:
            yield Place(topic, heading, tuple(lines), at)


def _blocks(page: Iterable[str]) -> Iterator[tuple[int, list[str]]]:
    """The page in paragraphs, headings, lines of lists and tables, and pieces of code, each with its first line."""
    block: list[str] = []
    begun = 0
    for at, line in enumerate(page):
        in_code = bool(block) and block[0].startswith(_FENCE)
        ends = bool(block) and (
            len(block) > 1 and block[-1] == _FENCE if in_code else _begins(line) or not line.strip()
        )
        if ends:
            yield begun, block
            block = []
        if block or line.strip():
            begun = begun if block else at
            block.append(line)
    if block:
        yield begun, block


def _begins(line: str) -> bool:
    return bool(_HEADING.match(line) or _ITEM.match(line)) or line.startswith((_FENCE, "|"))


@cache
def _words() -> frozenset[str]:
    return frozenset(word for topic in TOPICS for word in _WORD.findall(topic.text.casefold()))
