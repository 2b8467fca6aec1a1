"""Frames to fill in: a whole new file, and each table that a draft may get.

What belongs into a key is said beside it, in the words of the reference. No value is invented, so what is not filled in
yet is an error of the file.
"""

from __future__ import annotations

from clampbook.help.keys import Key, explain, header_of
from clampbook.procedure.sheet import NEWEST_FORMAT
from clampbook.procedure.sheet_stages import KINDS
from clampbook.procedure.tables import STAGE

_COMMENTS = 32  # the column at which they begin
_EMPTY = '""'
_SHOWN: dict[str, tuple[str, ...]] = {  # the keys that most manuals have a word about; the others are completed
    "layout": ("rows", "seen_from"),
    "group": ("name", "one", "positions", "thread", "property_class", "lubrication", "target", "sequence", "fastener"),
    "ask": ("name", "answer", "required"),
    "part": ("name", "record", "needed"),
    "joints": ("names", "walk"),
    "follow_up": ("title", "after", "or_use"),
    "stage.tighten": ("group", "to", "within", "rounds", "manual"),
    "stage.turn": ("group", "by", "within", "rounds", "judged_by", "manual"),
    "stage.align": ("group", "slots", "at_most", "lock", "manual"),
    "stage.loosen": ("group", "by", "manual"),
    "stage.measure": ("group", "what", "between", "at", "manual"),
    "stage.inspect": ("group", "ask", "by", "manual"),
    "stage.wait": ("for", "since", "manual"),
    "stage.recheck": ("group", "at", "method", "still", "until_still", "manual"),
    "stage.apply": ("group", "what", "lot", "manual"),
    "stage.mark": ("group", "paint", "manual"),
}
_NEEDED = {  # though the reader knows another key that may stand for it
    "layout": ("rows", "circle"),
    "joints": ("names",),
    "stage.tighten": ("to", "within"),
    "stage.measure": ("between",),
}
STAGES = tuple(KINDS)
FRAMES = (*(table for table in _SHOWN if not table.startswith(STAGE)), "circle", *(f"{STAGE}.{do}" for do in STAGES))
"""Each table that there is a frame of; "circle" is the other layout."""


def new_file(name: str) -> str:
    """The text that a new file begins with; `name` becomes its title."""
    title = name.replace("-", " ").replace("_", " ").strip().capitalize()
    lines = (
        _line("format", str(NEWEST_FORMAT)),
        _line("title", f'"{title}"', "What it is for."),
        _line("revision", '"A"', "A new one for each change, once somebody has worked by it."),
        _line("source", _EMPTY, "The manual and its page, and the day on which you looked it up."),
        _line("unit", '"N·m"', "The torque unit of the manual: N·m, lbf·ft, lbf·in or kgf·m."),
        "",
        frame("layout"),
        frame("group"),
        frame(f"{STAGE}.tighten"),
    )
    return "\n".join(lines)


def frame(table: str) -> str:
    """One more table, one of `FRAMES`, to be filled in."""
    if table == "circle":
        return _framed("layout", ("circle", "first", "seen_from"))
    return _framed(table, _SHOWN[table])


def _framed(table: str, shown: tuple[str, ...]) -> str:
    do = explain(table, "do")
    keys = [found for name in shown if (found := explain(table, name)) is not None]
    lines = [_key(key, needed=key.required or key.name in _NEEDED.get(table, ())) for key in keys]
    return "\n".join((header_of(table), *((do.example,) if do is not None else ()), *lines, ""))


def _key(key: Key, *, needed: bool) -> str:
    """A line for a key: empty where it is needed, else with an example and not counted yet; and a comment."""
    words = f" One of: {', '.join(key.allowed)}." if len(key.allowed) > 1 else ""
    if not needed:
        return _line(f"# {key.name}", key.example.partition(" = ")[2], f"{key.says}{words}")
    example = key.example.partition(" = ")[2]
    such = "" if words else f" Such as {example}."
    two = f"[{_EMPTY}, {_EMPTY}]" if key.takes.startswith("two ") else f"[{_EMPTY}]"
    return _line(key.name, two if example.startswith("[") else _EMPTY, f"{key.says}{words}{such}")


def _line(key: str, value: str, comment: str = "") -> str:
    told = f"{key} = {value}"
    return f"{told.ljust(_COMMENTS)}  # {comment}" if comment else told
