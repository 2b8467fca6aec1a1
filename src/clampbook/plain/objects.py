"""Plain mode for scripts: one JSON object out for each question and each acknowledgement; talk goes elsewhere."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import fields
from decimal import Decimal
from typing import Any, BinaryIO, TextIO

import msgspec

from clampbook.run.asked import under, where_of, words
from clampbook.run.events import Event
from clampbook.run.gather.draft import Part
from clampbook.run.gather.parts import choices_at
from clampbook.run.in_hand.in_question import in_question, told
from clampbook.run.kinds.values import open_again
from clampbook.run.prompts import (
    Choice,
    Prompt,
)
from clampbook.run.session import Session
from clampbook.run.told.words import Facts, Words
from clampbook.streams import in_ascii_where_needed
from clampbook.text import printable
from clampbook.units import Quantity

_CAPITAL = re.compile("(?<!^)(?=[A-Z])")
NO_RUN_YET = "before_run"


class Objects:
    """One object a line on `out`, flushed at once; what is no answer is told on `talk`."""

    def __init__(self, out: BinaryIO, talk: TextIO) -> None:
        self._out = out
        self._talk = talk

    def ask(self, prompt: Prompt, session: Session) -> None:
        """A prompt with all its keys."""
        self._write(asked(prompt, session))

    def ask_part(self, part: Part, prompt: Prompt | None) -> None:
        """The same prompt, asking for one part of its answer."""
        keys = blank(NO_RUN_YET) if prompt is None else of_prompt(prompt)
        self._write(keys | {"part": part.name, "text": part.text, "choices": _choices(part.choices)})

    def stored(self, event: Event, session: Session) -> None:
        """The number of the line."""
        del session
        self._write({"stored": event.seq})

    def refused(self, sentence: str) -> None:
        """Tell why an answer was not taken."""
        self._write({"refused": sentence})

    def unusual(self, sentence: str) -> None:
        """Tell why a value may be a slip."""
        self._write({"unusual": sentence})

    def tell(self, lines: Sequence[str]) -> None:
        """Talk, beside the objects."""
        self._talk.write("".join(f"{printable(line)}\n" for line in lines))
        self._talk.flush()

    def finished(self, outcome: str, run: str, sentence: str, late: str | None = None) -> None:
        """The last object."""
        del sentence
        self._write({"finished": outcome, "run": run} | ({} if late is None else {"text": late}))

    def _write(self, keys: dict[str, Any]) -> None:
        self._out.write(in_ascii_where_needed(msgspec.json.encode(keys).decode()).encode() + b"\n")
        self._out.flush()


def asked(prompt: Prompt, session: Session) -> dict[str, Any]:
    """A prompt as an object. After an unusual value its text asks for number and unit, and offers nothing."""
    said = words(prompt)
    if session.unusual is not None:
        return _of_words(prompt, said) | {"text": open_again(prompt), "details": []}
    shown: dict[str, Any] = {"text": said.sentence, "details": list(under(said, where_of(prompt)))}
    shown |= _in_question(session)
    return _of_words(prompt, said) | shown | {"choices": _choices(choices_at(prompt, session))}


def _in_question(session: Session) -> dict[str, Any]:
    """Tools that are in question in this run, each with why; the keys stand only where there are any."""
    found = [{"tool": each.tool, "why": each.why.replace(" ", "_")} for each in in_question(session.progress)]
    return {"in_question": found, "in_question_text": list(told(session))} if found else {}


def blank(kind: str) -> dict[str, Any]:
    """All keys of a prompt, with nothing in them."""
    figures = dict.fromkeys(("target", "window", "set_tool_to", "stop_at", "turned"))
    figures |= dict.fromkeys(("tool", "adapter", "adapter_offset", "left_hand", "direction", "positions"))
    place = dict.fromkeys(("id", "step", "of", "again", "group", "stage", "position", "work"))
    question: dict[str, Any] = {"text": None, "part": None, "choices": [], "unit": None, "since": None, "lasts": None}
    return {"prompt": kind} | place | figures | question


def of_prompt(prompt: Prompt) -> dict[str, Any]:
    """Fields of a prompt, its text and choices left aside."""
    return _of_words(prompt, words(prompt))


def _of_words(prompt: Prompt, said: Words) -> dict[str, Any]:
    keys = blank(_CAPITAL.sub("_", type(prompt).__name__).lower())
    where = where_of(prompt)
    if where is not None:
        keys |= {"id": where.id, "step": where.number, "of": where.of, "stage": where.stage, "group": where.group}
        keys |= {"position": where.position, "again": list(where.again) if where.again is not None else None}
        keys |= {} if where.joint is None else {"joint": where.joint}
    return keys | _facts(said.facts)


def _facts(facts: Facts) -> dict[str, Any]:
    """Give the facts that there are, under their names."""
    found = {field.name: getattr(facts, field.name) for field in fields(facts)}
    return {name: _plain(value) for name, value in found.items() if value is not None}


def _plain(value: object) -> object:
    match value:
        case Quantity(value=number, unit=unit):
            return {"value": float(number), "unit": unit}
        case Decimal():
            return float(value)
        case tuple():
            return [_plain(each) for each in value]
        case text:
            return text


def _choices(choices: tuple[Choice, ...]) -> list[dict[str, str]]:
    return [
        {"key": choice.key, "value": choice.value, "text": choice.text}
        | ({"costs": choice.costs} if choice.costs else {})
        for choice in choices
    ]
