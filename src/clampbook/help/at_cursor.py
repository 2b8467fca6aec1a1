"""The place in the text of a procedure at which somebody types: in which table, at which key, and what may stand there.

The text is half typed, so no reader of TOML takes it. It is read from the header above the cursor up to the cursor.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Literal

from clampbook.help.keys import Key, explain, header_of, keys_of, says_of, table_at
from clampbook.procedure.sheet_stages import BLOCK, KINDS
from clampbook.procedure.tables import OF_A_PROCEDURE, STAGE

_HEADER = re.compile(r"\s*\[\[?\s*([A-Za-z_][\w. ]*?)\s*\]\]?\s*(?:#.*)?$")
_DO = re.compile(r'(?:^|[{,])\s*do\s*=\s*"([a-z]+)"')
_BLOCK = re.compile(rf"^\s*{BLOCK}\s*=")
_KEY = re.compile(r"(?:^|[{,])\s*([A-Za-z_]+)\s*=")
_NAMED = {"group": ("group", "name"), "since": (STAGE, "id"), "minus": (STAGE, "id"), "adjust_from": (STAGE, "id")}
_DOES = "do"
_MOST_LINES = 2000  # of a table that are looked through

Where = Literal["key", "value", "header", "nowhere"]


@dataclass(frozen=True, slots=True)
class Spot:
    """`table` and `key` as in `keys`, None where they are not known; "stage" is one that does not say yet what it does.
    `typed` is what stands of the word before the cursor, `quoted` says whether that is within quotes, and `ends` is the
    quote that is missing behind it."""

    where: Where
    table: str | None = None
    key: str | None = None
    typed: str = ""
    quoted: bool = False
    ends: str = ""

    @property
    def known(self) -> Key | None:
        """The key of the reference that is meant."""
        return None if self.table is None or self.key is None else explain(self.table, self.key)


@dataclass(frozen=True, slots=True)
class Offered:
    """Something that may stand at a spot: its name, what it is, and the text that takes the place of what was typed;
    `back` is how many signs before its end the cursor then stands."""

    name: str
    says: str
    text: str
    back: int = 0


@dataclass(slots=True)
class _Open:
    """A table in braces, or the whole one, or a list: `key` is the one at hand, `text` what stands of the entry."""

    kind: Literal["table", "list"]
    name: str | None = None
    key: str | None = None
    text: str = ""
    written: str = field(default="")


def spot(lines: Sequence[str], row: int, column: int) -> Spot:
    """The spot of the cursor: `row` and `column` count from 0."""
    line = lines[row][:column]
    if line.lstrip().startswith("[") and not _within_a_value(lines, row):
        return Spot("header", typed=line.strip())
    start = _header_above(lines, row)
    opened, quote = _opened(lines, start + 1, row, column)
    if opened is None:
        return Spot("nowhere")
    table = _table(lines, start, row, opened)
    last = opened[-1]
    typed = last.text.rpartition(quote)[2] if quote else last.text.strip()
    if last.kind == "table" and last.key is None and not quote:
        return Spot("key", table, _word(lines[row], column), typed)
    key = last.key or next((each.key for each in reversed(opened) if each.key is not None), None)
    return Spot("value", table, key, typed, bool(quote), "" if quote in lines[row][column:] else quote)


def offered(found: Spot, lines: Sequence[str], row: int) -> tuple[Offered, ...]:
    """List what may stand there and begins with what was typed; nothing where only that one is there whole."""
    every = tuple(_offered(found, lines, row))
    beginning = tuple(each for each in every if each.name.casefold().startswith(found.typed.casefold()))
    return () if [each.name for each in beginning] == [found.typed] else beginning


def _offered(found: Spot, lines: Sequence[str], row: int) -> Iterator[Offered]:
    match found.where:
        case "header":
            for name in OF_A_PROCEDURE:
                header = "" if name.startswith(STAGE) and name != "stage.tighten" else header_of(name)
                if header:
                    yield Offered(header, "", header)
        case "key" if found.table == STAGE:
            yield Offered(_DOES, "What the stage does.", f'{_DOES} = ""', 1)
            yield Offered(BLOCK, says_of(f"{STAGE}.{BLOCK}"), f'{BLOCK} = ""', 1)
        case "key" if found.table is not None:
            taken = set(_keys_beside(lines, row)) if _is_a_line(lines[row]) else set(_KEY.findall(lines[row]))
            yield from (_of_key(each) for each in keys_of(found.table) if each.name not in taken)
        case "value":
            yield from _values(found, lines)
        case _:
            return


def _of_key(key: Key) -> Offered:
    value = key.example.partition(" = ")[2]
    for shape, back in (('""', 1), ("[]", 1), ("{  }", 2)):
        if value.startswith(shape[0]):
            return Offered(key.name, key.says, f"{key.name} = {shape}", back)
    return Offered(key.name, key.says, f"{key.name} = ")


def _values(found: Spot, lines: Sequence[str]) -> Iterator[Offered]:
    known = found.known
    if found.key == _DOES and (found.table or "").startswith(STAGE):
        yield from (Offered(kind, says_of(f"{STAGE}.{kind}"), _in_quotes(kind, found)) for kind in KINDS)
        return
    if known is None:
        return
    if known.takes == "true or false":
        yield from (Offered(word, "", word) for word in ("true", "false") if not found.quoted)
        return
    words = known.allowed or tuple(_names(lines, *_NAMED[known.name]) if known.name in _NAMED else ())
    yield from (Offered(word, "", _in_quotes(word, found)) for word in words)


def _in_quotes(word: str, found: Spot) -> str:
    return f"{word}{found.ends}" if found.quoted else f'"{word}"'


def _names(lines: Sequence[str], table: str, key: str) -> Iterator[str]:
    """The names that other tables of the text have, which a key may refer to."""
    named = re.compile(rf'\s*{key}\s*=\s*"([^"]+)"')
    header = ""
    for line in lines[: 10 * _MOST_LINES]:
        if (begins := _HEADER.match(line)) is not None:
            header = begins[1]
        elif header == table and (found := named.match(line)) is not None:
            yield found[1]


def _header_above(lines: Sequence[str], row: int) -> int:
    """The row of the header above, -1 where there is none."""
    for at in range(row, max(-1, row - _MOST_LINES), -1):
        if _HEADER.match(lines[at]) is not None:
            return at
    return -1


def next_header(lines: Sequence[str], row: int) -> int:
    """The row of the next header below a row, or of the end of the text."""
    return next((at for at in range(row + 1, len(lines)) if _HEADER.match(lines[at]) is not None), len(lines))


def _within_a_value(lines: Sequence[str], row: int) -> bool:
    """True where a list that began on a line above is still open."""
    start = _header_above(lines, row - 1) if row else -1
    opened, _ = _opened(lines, start + 1, row, 0)
    return opened is not None and len(opened) > 1


def _opened(lines: Sequence[str], start: int, row: int, column: int) -> tuple[list[_Open] | None, str]:
    """Everything that is open at the cursor, the whole table first, and the quote of the text it stands in; None in a
    comment."""
    stack, quote = [_Open("table")], ""
    for at in range(start, row + 1):
        text = lines[at] if at < row else lines[at][:column]
        quote = ""
        if len(stack) == 1:
            stack[0].key, stack[0].text = None, ""
        place = 0
        while place < len(text):
            sign = text[place]
            if quote:
                if sign == "\\" and quote == '"':
                    place += 1
                elif sign == quote:
                    quote = ""
            elif sign == "#":
                if at == row:
                    return None, ""
                break
            elif sign in "\"'":
                quote = sign
            elif _bracket(stack, sign):
                place += 1
                continue
            stack[-1].text += sign
            place += 1
    return stack, quote


def _bracket(stack: list[_Open], sign: str) -> bool:
    """Take a sign that opens, closes or parts; False for any other."""
    last = stack[-1]
    match sign:
        case "=" if last.kind == "table" and last.key is None:
            last.key, last.text = last.text.strip().strip("\"'"), ""
        case "{" | "[" if last.key is not None or last.kind == "list":
            stack.append(_Open("table" if sign == "{" else "list", last.key or last.name))
        case "}" | "]" if len(stack) > 1:
            stack.pop()
        case "," if last.kind == "list":
            last.text = ""
        case "," if len(stack) > 1:
            last.key, last.text = None, ""
        case _:
            return False
    return True


def _table(lines: Sequence[str], start: int, row: int, opened: Sequence[_Open]) -> str | None:
    """The table of the reference that the cursor stands in."""
    header = "" if start < 0 else (_HEADER.match(lines[start]) or ["", ""])[1]
    inner = [each for each in opened if each.kind == "table"][1:]
    if not inner:
        end = next_header(lines, max(start, 0) if start >= 0 else -1)
        return _of_a_stage(_plain(header), _do(lines[start + 1 : end]))
    if inner[-1].name == "steps":
        within = _DO.search(lines[row])
        return _of_a_stage("steps", within[1] if within is not None else None)
    return table_at(".".join(filter(None, (_plain(header), *(each.name for each in inner)))))


def _of_a_stage(name: str, do: str | None) -> str | None:
    """The table of this name; a stage that does not say yet what it does is just a stage."""
    found = table_at(name, do)
    is_a_stage = name.rpartition(".")[2] in (STAGE, "steps")
    return STAGE if found is None and is_a_stage else found


def _plain(header: str) -> str:
    """Some tables stand below others, and are the same."""
    return header.replace(" ", "")


def _do(lines: Sequence[str]) -> str | None:
    """The kind of a stage, from its lines."""
    for line in lines:
        if _BLOCK.match(line) is not None:
            return BLOCK
        if line[:1] not in "{ \t" and (found := _DO.match(line)) is not None:
            return found[1]
    return None


def _is_a_line(line: str) -> bool:
    return "{" not in line


def _keys_beside(lines: Sequence[str], row: int) -> Iterator[str]:
    """The keys that the table has on its other lines."""
    for at in range(_header_above(lines, row) + 1, next_header(lines, row)):
        found = _KEY.match(lines[at]) if at != row else None
        if found is not None:
            yield found[1]


def _word(line: str, column: int) -> str | None:
    """The whole word in which the cursor stands."""
    before = re.search(r"[A-Za-z_]*$", line[:column])
    behind = re.match(r"[A-Za-z_]*", line[column:])
    word = (before[0] if before else "") + (behind[0] if behind else "")
    return word or None
