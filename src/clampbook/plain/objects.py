"""Plain mode for scripts: one JSON object out for each question and each acknowledgement; talk goes elsewhere."""

from __future__ import annotations

import re
from collections.abc import Sequence
from decimal import Decimal
from typing import Any, BinaryIO, TextIO

import msgspec

from clampbook.run.asked import details, sentence, where_of
from clampbook.run.events import Event
from clampbook.run.gather.draft import Part
from clampbook.run.gather.parts import choices_at
from clampbook.run.in_hand.in_question import in_question, told
from clampbook.run.kinds.values import OPEN_AGAIN
from clampbook.run.prompts import (
    BackOff,
    Choice,
    Confirm,
    Decide,
    Ends,
    Inspect,
    Loosen,
    Measure,
    Prompt,
    Recheck,
    ReturnTool,
    SetTool,
    StartSheet,
    TakeTool,
    Tighten,
    Turn,
    Wait,
    ZeroTool,
)
from clampbook.run.session import Session
from clampbook.streams import in_ascii_where_needed
from clampbook.text import printable
from clampbook.tools.aim import OPEN, Aim, loosening, tightening

Quantity = dict[str, float | str]

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
        """Why an answer was not taken."""
        self._write({"refused": sentence})

    def doubt(self, sentence: str) -> None:
        """Why a value may be a slip."""
        self._write({"doubt": sentence})

    def tell(self, lines: Sequence[str]) -> None:
        """Talk, beside the objects."""
        self._talk.write("".join(f"{printable(line)}\n" for line in lines))
        self._talk.flush()

    def finished(self, outcome: str, run: str, sentence: str) -> None:
        """The last object."""
        del sentence
        self._write({"finished": outcome, "run": run})

    def _write(self, keys: dict[str, Any]) -> None:
        self._out.write(in_ascii_where_needed(msgspec.json.encode(keys).decode()).encode() + b"\n")
        self._out.flush()


def asked(prompt: Prompt, session: Session) -> dict[str, Any]:
    """A prompt as an object. After a doubt its text asks for number and unit, and offers nothing."""
    if session.doubt is not None:
        return of_prompt(prompt) | {"text": OPEN_AGAIN, "details": []}
    shown: dict[str, Any] = {"text": sentence(prompt), "details": list(details(prompt))}
    shown |= _in_question(session)
    return of_prompt(prompt) | shown | {"choices": _choices(choices_at(prompt, session))}


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
    keys = blank(_CAPITAL.sub("_", type(prompt).__name__).lower())
    where = where_of(prompt)
    if where is not None:
        keys |= {"id": where.id, "step": where.number, "of": where.of, "stage": where.stage, "group": where.group}
        keys |= {"position": where.position, "again": list(where.again) if where.again is not None else None}
    keys |= _way(prompt)
    match prompt:
        case StartSheet(group=group, ask=ask):
            keys |= {"group": group, "unit": ask.unit if ask is not None else None}
        case Inspect(work=work) if work is not None:
            keys |= {"work": work.replace(" ", "_")}
        case Loosen(work=True):
            keys |= {"work": "loosen"}
        case Wait(since=since, lasts=lasts):
            keys |= {"since": since, "lasts": float(lasts)}
        case Confirm(pull=pull) if pull is not None:
            keys |= _figures(pull)
        case _:
            keys |= _figures(prompt)
    return keys


def _way(prompt: Prompt) -> dict[str, Any]:
    """With which tool, through which adapter, and which way round a fastener goes, seen from the tool."""
    match prompt:
        case Confirm(pull=pull, positions=positions) if pull is not None:
            return _way(pull) | {"positions": list(positions)}
        case Loosen(where=where):
            return {"left_hand": where.left_hand, "direction": loosening(where.left_hand)}
        case Turn(where=where, tool=tool, done=done):
            way = {"left_hand": where.left_hand, "direction": tightening(where.left_hand)}
            return way | {"tool": tool.id, "turned": _quantity(done, "°") if done else None}
        case Tighten(aim=aim) | Recheck(aim=aim) | SetTool(aim=aim) | Measure(aim=aim) if aim is not None:
            offset = None if aim.adapter is None else _quantity(aim.adapter.offset, "°")
            stop_at = None if aim.stop_at is None else _quantity(aim.stop_at, aim.tool.unit)
            held = {"tool": aim.tool.id, "adapter": aim.adapter_id, "adapter_offset": offset, "stop_at": stop_at}
            return held | {"left_hand": aim.left_hand, "direction": aim.direction}
        case ZeroTool(tool=tool) | ReturnTool(tool=tool):
            return {"tool": tool.id}
        case _:
            return {}


def _figures(prompt: Prompt) -> dict[str, Any]:
    """Target and window in the sheet's unit, the setting in the tool's, and the unit that is typed in."""
    match prompt:
        case Tighten(aim=aim):
            return _aim(aim, aim.window) | {"unit": aim.tool.unit if aim.reading else None}
        case BackOff(by=by):
            return {"target": _quantity(by, "°")}
        case Loosen(by=by):
            return {"target": None if by is None else _quantity(by, "°")}
        case Recheck(aim=aim):
            window = None if aim.window == OPEN else aim.window
            return _aim(aim, window) | {"unit": aim.tool.unit if aim.reading else None}
        case SetTool(aim=aim):
            return _aim(aim, aim.window)
        case TakeTool(target=target, window=window, unit=unit):
            return _target(target, window, unit or "")
        case Turn(target=target, window=window, by_marks=by_marks):
            return _target(target, window, "°") | {"unit": None if by_marks else "°"}
        case Measure(window=window, unit=unit, tool=tool):
            return _target(None, window, unit) | {"unit": tool.unit if tool is not None else unit}
        case Decide(window=window, unit=unit):
            return _target(None, window, unit or "")
        case _:
            return {}


def _aim(aim: Aim, window: Ends | None) -> dict[str, Any]:
    setting = None if aim.set_to is None else _quantity(aim.set_to.value, aim.set_to.unit)
    return _target(aim.target, window, aim.unit) | {"set_tool_to": setting}


def _target(target: Decimal | None, window: Ends | None, unit: str) -> dict[str, Any]:
    ends = None if window is None else [None if end is None else _quantity(end, unit) for end in window]
    return {"target": None if target is None else _quantity(target, unit), "window": ends}


def _quantity(value: Decimal, unit: str) -> Quantity:
    return {"value": float(value), "unit": unit}


def _choices(choices: tuple[Choice, ...]) -> list[dict[str, str]]:
    return [{"key": choice.key, "value": choice.value, "text": choice.text} for choice in choices]
