"""Frames to fill in: a whole new file, and each table that a draft may get.

What belongs into a key is said beside it, in the words of the tables that read it. No value is invented, so what is not
filled in yet is an error of the file.
"""

from __future__ import annotations

import json
from typing import Any, Literal, get_args, get_origin

from pydantic.fields import FieldInfo

from clampbook.procedure.sheet import (
    NEWEST_FORMAT,
    AskTable,
    FollowUpTable,
    JointsTable,
    LayoutTable,
    PartTable,
)
from clampbook.procedure.sheet_groups import GroupTable
from clampbook.procedure.sheet_stages import KINDS
from clampbook.procedure.sheet_values import Table

_COMMENTS = 32  # the column at which they begin
_SHOWN: dict[str, tuple[str, ...]] = {  # the keys that most manuals have a word about; the others are completed
    "group": ("name", "one", "positions", "thread", "property_class", "lubrication", "target", "sequence", "fastener"),
    "ask": ("name", "answer", "required"),
    "part": ("name", "record", "needed"),
    "joints": ("names", "walk"),
    "follow_up": ("title", "after", "or_use"),
    "tighten": ("group", "to", "within", "rounds", "manual"),
    "turn": ("group", "by", "within", "rounds", "judged_by", "manual"),
    "align": ("group", "slots", "at_most", "lock", "manual"),
    "loosen": ("group", "by", "manual"),
    "measure": ("group", "what", "between", "at", "manual"),
    "inspect": ("group", "ask", "by", "manual"),
    "wait": ("for", "since", "manual"),
    "recheck": ("group", "at", "method", "still", "until_still", "manual"),
    "apply": ("group", "what", "lot", "manual"),
    "mark": ("group", "paint", "manual"),
}
_ALWAYS = {"measure": ("between",), "tighten": ("to", "within"), "joints": ("names",)}  # needed, though others may do
_TABLES: dict[str, type[Table]] = {
    "group": GroupTable,
    "ask": AskTable,
    "part": PartTable,
    "follow_up": FollowUpTable,
}
STAGES = tuple(KINDS)


def new_file(name: str) -> str:
    """The text that a new file begins with; `name` becomes its title."""
    title = name.replace("-", " ").replace("_", " ").strip().capitalize()
    lines = (
        _line("format", str(NEWEST_FORMAT)),
        _line("title", _quoted(title), "What it is for."),
        _line("revision", '"A"', "A new one for each change, once somebody has worked by it."),
        _line("source", '""', "The manual and its page, and the day on which you looked it up."),
        _line("unit", '"N·m"', "The torque unit of the manual: N·m, lbf·ft, lbf·in or kgf·m."),
        "",
        layout("rows"),
        group(),
        stage("tighten"),
    )
    return "\n".join(lines)


def layout(kind: Literal["rows", "circle"]) -> str:
    """The picture of the joint."""
    fields = LayoutTable.model_fields
    if kind == "rows":
        return "\n".join(
            ("[layout]", _line("rows", '[""]', f'{fields["rows"].description} Such as ["1 2 3 4", "5 6 7 8"].'), "")
        )
    first = fields["first"]
    return "\n".join(
        (
            "[layout]",
            _line("circle", '""', "How many positions stand on the circle, without quotes."),
            _line("# first", _quoted(str(first.default)), first.description or ""),
            "",
        )
    )


def group() -> str:
    """Fasteners that are alike."""
    return table("group")


def joints() -> str:
    """Several joints of one kind."""
    return _framed("[joints]", JointsTable, "joints", ())


def table(name: Literal["group", "ask", "part", "follow_up"]) -> str:
    """One more entry of a list of tables."""
    return _framed(f"[[{name}]]", _TABLES[name], name, ())


def stage(kind: str) -> str:
    """One more stage of a kind."""
    return _framed("[[stage]]", KINDS[kind], kind, (f'do = "{kind}"',))


def _framed(head: str, of: type[Table], name: str, first: tuple[str, ...]) -> str:
    known = {field.alias or key: field for key, field in of.model_fields.items()}
    always = _ALWAYS.get(name, ())
    lines = [_key(key, known[key], needed=key in always or known[key].is_required()) for key in _SHOWN[name]]
    return "\n".join((head, *first, *lines, ""))


def _key(key: str, field: FieldInfo, *, needed: bool) -> str:
    """A line for a key: empty where it is needed, else with an example, and a comment."""
    words = allowed(field)
    example = next(iter(field.examples or ()), words[0] if words else field.default if _plain(field) else "")
    said = field.description or ""
    if len(words) > 1:
        said = f"{said} One of: {', '.join(words)}."
    elif needed and example:
        said = f"{said} Such as {_quoted(example)}."
    return _line(key, '""', said) if needed else _line(f"# {key}", _quoted(example), said)


def _plain(field: FieldInfo) -> bool:
    """True where a number or a truth value stands for a key that is left out."""
    return isinstance(field.default, int)


def allowed(field: FieldInfo) -> tuple[str, ...]:
    """The words that a key may have, where it takes no others."""
    return tuple(str(word) for word in _words(field.annotation) if isinstance(word, str))


def _words(annotation: Any) -> tuple[Any, ...]:
    if get_origin(annotation) is Literal:
        return get_args(annotation)
    return tuple(word for part in get_args(annotation) for word in _words(part) if get_origin(annotation) is not dict)


def _quoted(value: object) -> str:
    return json.dumps(value, ensure_ascii=False)


def _line(key: str, value: str, comment: str = "") -> str:
    told = f"{key} = {value}"
    return f"{told.ljust(_COMMENTS)}  # {comment}" if comment else told
