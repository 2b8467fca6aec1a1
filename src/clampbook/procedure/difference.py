"""In what one revision of a procedure differs from another, in words: "stage 2 of Head bolts: 55 N·m → 60 N·m".

Pure, over what the files mean: comments and the order of keys are no difference. Neither is the release of a revision,
or its name.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from decimal import Decimal
from difflib import SequenceMatcher
from operator import attrgetter
from typing import Any

from msgspec import UNSET, Struct
from msgspec.structs import fields, replace

from clampbook.figures import plain, show_exactly, show_span
from clampbook.procedure.model import (
    Procedure,
    Recheck,
    Stage,
    Tighten,
    Turn,
    Window,
)
from clampbook.text import quoted
from clampbook.units import Quantity

_OF_THE_RELEASE = {"status", "release", "withdrawal", "lapsed", "revision"}
_PLACED = {"number", "block"}  # follow from where a stage stands among the others
_SECONDS = {"pause_limit", "lasts", "least_pull"}
_IN_DEGREES = {"slot", "by", "back_off", "still"}
_TORQUES = {"at_most"}
_DEGREES = "°"
_WORDS = {  # of fields whose names are not those of keys
    "property_class": "property class",
    "tightenings_at_most": "tightenings at most",
    "trial_skip": "left out in a trial",
    "ask": "question",
    "as_written": "for",
    "yield_": "yield",
}


def difference(before: Procedure, after: Procedure) -> tuple[str, ...]:
    """Tell every difference in the order of a file; nothing where both say the same."""
    return tuple(_procedure(before, after))


def _procedure(before: Procedure, after: Procedure) -> Iterator[str]:
    apart = {"groups", "stages", "asks", "parts", "sign_off", "follow_ups", "accepted"}
    yield from _fields("", before, after, after.unit, _OF_THE_RELEASE | apart)
    yield from _listed(before.asks, after.asks, attrgetter("name"), "question", after.unit)
    yield from _listed(before.parts, after.parts, attrgetter("name"), "part", after.unit)
    yield from _listed(before.groups, after.groups, attrgetter("name"), "group", after.unit)
    yield from _stages(before.stages, after.stages, before.unit, after.unit, "")
    yield from _listed(before.sign_off, after.sign_off, attrgetter("role"), "sign-off", after.unit)
    for old, new, told in _paired(before.follow_ups, after.follow_ups, attrgetter("title"), "follow-up"):
        yield from told
        if old is not None and new is not None:
            place = f"follow-up {quoted(new.title)}"
            yield from _fields(place, old, new, after.unit, {"stages"})
            yield from _stages(old.stages, new.stages, before.unit, after.unit, f"{place}, ")
    yield from _listed(before.accepted, after.accepted, attrgetter("query"), "answered query", after.unit)


# Stages.


def _stages(before: Sequence[Stage], after: Sequence[Stage], unit: str, unit_now: str, lead: str) -> Iterator[str]:
    """Stages that stand at the same place among the others are compared; all others came or went."""
    were, are = [_kind(stage) for stage in before], [_kind(stage) for stage in after]
    for way, a, b, c, d in SequenceMatcher(None, were, are, autojunk=False).get_opcodes():
        if way == "equal":
            for old, new in zip(range(a, b), range(c, d), strict=True):
                place = f"{lead}{_place(after[new])}"
                yield from _stage(place, before[old], after[new], unit, unit_now)
                if _joined(before, old) != _joined(after, new):
                    yield f"{place}: the steps that one for_each repeats together are others"
            continue
        yield from (f"{lead}{_place(stage)}: removed, {_brief(stage, unit)}" for stage in before[a:b])
        yield from (f"{lead}{_place(stage)}: new, {_brief(stage, unit_now)}" for stage in after[c:d])


def _stage(place: str, old: Stage, new: Stage, unit: str, unit_now: str) -> Iterator[str]:
    target, target_now = (_target(stage, of) for stage, of in ((old, unit), (new, unit_now)))
    told = set(_PLACED)
    if target != target_now and None not in (target, target_now):
        yield f"{place}: {target} → {target_now}"
        told.add("target")
    if getattr(old, "as_written", None) != getattr(new, "as_written", None):
        told.add("lasts")  # told as it is written
    yield from _fields(place, old, new, unit_now, told)


def _kind(stage: Stage) -> tuple[object, ...]:
    return (stage.__struct_config__.tag, stage.group, stage.id)


def _place(stage: Stage) -> str:
    return f"stage {stage.number}" + (f" of {stage.group}" if stage.group else "")


def _brief(stage: Stage, unit: str) -> str:
    return " ".join(each for each in (str(stage.__struct_config__.tag), _target(stage, unit)) if each)


def _target(stage: Stage, unit: str) -> str | None:
    if isinstance(stage, Turn):
        return show_exactly(stage.target, _DEGREES)
    if isinstance(stage, Tighten | Recheck) and stage.target is not None:
        return show_exactly(stage.target, unit)
    return None


def _joined(stages: Sequence[Stage], at: int) -> tuple[bool, bool]:
    """Tell whether a stage is repeated with others, and with the one before it."""
    block = stages[at].block
    return block is not None, block is not None and at > 0 and stages[at - 1].block == block


# Everything else.


def _listed(
    before: Sequence[Any], after: Sequence[Any], name: Callable[[Any], str], what: str, unit: str
) -> Iterator[str]:
    for old, new, told in _paired(before, after, name, what):
        yield from told
        if old is not None and new is not None:
            yield from _fields(f"{what} {quoted(name(new))}", old, new, unit, set())


def _paired(
    before: Sequence[Any], after: Sequence[Any], name: Callable[[Any], str], what: str
) -> Iterator[tuple[Any, Any, tuple[str, ...]]]:
    """Entries of one name side by side; of one that came, went or stands elsewhere now, what is told of it."""
    were, are = [name(each) for each in before], [name(each) for each in after]
    for way, a, b, c, d in SequenceMatcher(None, were, are, autojunk=False).get_opcodes():
        if way == "equal":
            yield from ((old, new, ()) for old, new in zip(before[a:b], after[c:d], strict=True))
            continue
        yield from ((each, None, (f"{what} {quoted(name(each))}: removed",)) for each in before[a:b])
        yield from ((None, each, (f"{what} {quoted(name(each))}: new",)) for each in after[c:d])


def _fields(place: str, before: Struct, after: Struct, unit: str, told: set[str]) -> Iterator[str]:
    """Every field that differs, but for those that are `told` elsewhere."""
    lead = f"{place}: " if place else ""
    for field in fields(type(after)):
        old, new = getattr(before, field.name), getattr(after, field.name)
        if field.name in told or old == new:
            continue
        named = _WORDS.get(field.name, field.name.replace("_", " "))
        yield f"{lead}{named} {_shown(old, field.name, unit)} → {_shown(new, field.name, unit)}"


def _shown(value: Any, name: str, unit: str) -> str:
    match value:
        case _ if value in (None, UNSET, (), {}, ""):
            return "nothing"
        case bool():
            return "yes" if value else "no"
        case Decimal():
            return _number(value, name, unit)
        case Quantity():
            return show_exactly(value.value, value.unit)
        case Window():
            return show_span(value.low, value.high, value.unit, exact=True)
        case str():
            return quoted(value, most=200)
        case Struct():
            inner = ((field.name, getattr(value, field.name)) for field in fields(type(value)))
            return ", ".join(
                f"{each.replace('_', ' ')} {_shown(of, each, unit)}" for each, of in inner if of is not None
            )
        case Mapping():
            return ", ".join(f"{key}: {_shown(of, name, unit)}" for key, of in value.items())
        case tuple() | list():
            return ", ".join(str(each) if isinstance(each, str) else _shown(each, name, unit) for each in value)
        case _:
            return str(value)


def _number(value: Decimal, name: str, unit: str) -> str:
    if name in _SECONDS:
        return f"{plain(value)} s"
    if name in _IN_DEGREES:
        return show_exactly(value, _DEGREES)
    return show_exactly(value, unit) if name in _TORQUES else plain(value)


def same(before: Procedure, after: Procedure) -> bool:
    """Tell whether both say the same, whoever released them and under which name."""
    return _bare(before) == _bare(after)


def _bare(procedure: Procedure) -> Procedure:
    return replace(procedure, status="draft", release=None, withdrawal=None, lapsed=None, revision="")
