"""The traps of TOML in plain words, as somebody most likely meant it, with the line from tomllib's message."""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass

from clampbook.procedure.codes import Code
from clampbook.procedure.slips import short
from clampbook.text import quoted

_PLACE = re.compile(r"\(at line (\d+), column (\d+)\)$")
_STRINGS = re.compile(r"\"(?:[^\"\\\n]|\\.)*+\"|'[^'\n]*+'")
_LONGEST_LINE = 2000


@dataclass(frozen=True, slots=True)
class Trap:
    """One explained syntax fault; `line` counts from 1."""

    code: Code
    line: int
    text: str
    found: str = ""
    allowed: str = ""
    hint: str = ""


@dataclass(frozen=True, slots=True)
class Stop:
    """The place where tomllib stopped: its message, line and column from 1, and the line as it is written."""

    message: str
    line: int
    column: int
    written: str

    @property
    def before(self) -> str:
        """The line up to the place, with all closed texts left out."""
        return _STRINGS.sub("", self.written[: self.column - 1])

    @property
    def after(self) -> str:
        """The line from the place on."""
        return self.written[self.column - 1 :].strip()

    @property
    def pair(self) -> tuple[str, str] | None:
        """Key and value of the line as they are written, without a comment; None where it is no such line."""
        key, equals, value = (part.strip() for part in self.written.partition("="))
        if not equals or not key or key[0] in "#[{":
            return None
        return key, value if value[:1] in ("'", '"') else value.split("#")[0].strip()

    def trap(self, code: Code, text: str, allowed: str = "", hint: str = "") -> Trap:
        """The explanation for this place."""
        return Trap(code, self.line, text, short(self.written.strip()), allowed, hint)


def explain(error: tomllib.TOMLDecodeError, text: str) -> Trap:
    """Say in plain words what tomllib stopped at; `text` is the whole file."""
    stop = stop_of(error, text)
    for look in (_twice, _over_lines, _comma, _unquoted, _quotes, _equals, _list, _brackets):
        trap = look(stop)
        if trap is not None:
            return trap
    message = short(stop.message[:1].lower() + stop.message[1:])
    return stop.trap(Code.SYNTAX, f"this is not TOML ({message})", hint="compare the line with one that works")


def stop_of(error: tomllib.TOMLDecodeError, text: str) -> Stop:
    """Message and place; "the end of the document" is the last line that says something."""
    message = str(error)
    place = _PLACE.search(message)
    if place:
        message, line, column = message[: place.start()].strip(), int(place[1]), int(place[2])
    else:
        said = text.rstrip()
        message, line = message.removesuffix("(at end of document)").strip(), said.count("\n") + 1
        column = len(said) - said.rfind("\n")
    lines = text.split("\n")
    written = lines[line - 1].rstrip("\r")[:_LONGEST_LINE] if line <= len(lines) else ""
    return Stop(message, line, column, written)


def _twice(stop: Stop) -> Trap | None:
    """A key or a table a second time."""
    table = re.match(r"Cannot declare \((.*?),?\) twice", stop.message)
    if table:
        name = ".".join(part.strip(" '\"") for part in table[1].split(","))
        return stop.trap(
            Code.TWICE,
            f"table {quoted(name)} is there twice",
            "each table once",
            f"write [[{short(name)}]] each time where there are several, else join them",
        )
    if stop.message.startswith(("Duplicate inline table key", "Cannot overwrite a value")):
        pair = stop.pair
        name = f"key {short(pair[0])}" if pair and stop.message.startswith("Cannot") else "a key"
        return stop.trap(
            Code.TWICE,
            f"{name} is there twice in the same table",
            "each key once",
            "remove one, or begin the next table with [[group]] or [[stage]]",
        )
    if stop.message.startswith("Cannot mutate immutable namespace"):
        return stop.trap(
            Code.TWICE,
            "this adds to a table or list that is complete",
            "one place",
            "write all of it in one place",
        )
    return None


def _over_lines(stop: Stop) -> Trap | None:
    """A table in braces that goes on in the next line, or ends with a comma."""
    is_open = stop.before.count("{") > stop.before.count("}")
    if stop.message.startswith("Unclosed inline table") or (is_open and (not stop.after or stop.after[0] == "#")):
        return stop.trap(
            Code.TABLE_OVER_LINES,
            "a table in { … } does not end on its line",
            "one line",
            "write all of { … } on one line",
        )
    if is_open and stop.after[0] == "}" and stop.before.rstrip().endswith(","):
        return stop.trap(
            Code.SYNTAX,
            "there is a comma before the closing brace",
            "no comma there",
            "remove the last comma in { … }",
        )
    return None


def _comma(stop: Stop) -> Trap | None:
    """A decimal comma in a bare number."""
    if not re.search(r"=\s*[+-]?\d+$", stop.before) or not re.match(r",\s*\d", stop.after):
        return None
    return stop.trap(
        Code.DECIMAL_COMMA,
        "a decimal comma is outside quotes",
        "a decimal point, or text in quotes",
        'write "2,5 N·m" with unit and quotes, or a plain number with a point',
    )


def _unquoted(stop: Stop) -> Trap | None:
    """A value that should stand in quotes: 30 N·m, ±2 N·m, a word."""
    pair = stop.pair
    if pair is None or not stop.message.startswith(("Invalid value", "Expected newline")):
        return None
    key, value = pair
    if not value:
        return stop.trap(Code.SYNTAX, f"key {short(key)} has no value", "a value after =", "write a value after =")
    if value[0] in "“”„‘’«»":
        return stop.trap(Code.NO_QUOTES, "the quotes are curly", 'straight quotes: "…"', "type straight quotes")
    if value[0] in "\"'[{":
        return None
    if value.lower() in ("true", "false"):
        return stop.trap(
            Code.NO_QUOTES, f"{quoted(value)} has capitals", "true or false", f"write {short(key)} = {value.lower()}"
        )
    return stop.trap(
        Code.NO_QUOTES,
        f"the value of {short(key)} is neither a number nor text in quotes",
        "text in quotes",
        f'write {short(key)} = "{short(value)}"',
    )


def _quotes(stop: Stop) -> Trap | None:
    """Quotes that are not closed, a backslash, a control character."""
    if stop.message.startswith("Unterminated string"):
        return stop.trap(
            Code.SYNTAX, "a text is not closed before the end of the file", '"…"', "add the closing quotes"
        )
    if stop.message.startswith(("Illegal character", "Found invalid character", 'Expected "\'"')):
        if r"'\n'" in stop.message or r"'\r'" in stop.message or stop.message.startswith("Expected"):
            return stop.trap(Code.SYNTAX, "the closing quote is missing", '"…"', "add it before the line ends")
        return stop.trap(Code.SYNTAX, "the line has a control character", "visible characters", "type the line again")
    if stop.message.startswith(("Unescaped", "Invalid hex", "Escaped character")):
        return stop.trap(
            Code.SYNTAX,
            "a backslash in a text is special in TOML",
            r"\\ or single quotes",
            "write the text in single quotes",
        )
    if stop.message.startswith("Expected newline") and _STRINGS.sub("", stop.written).count('"') % 2:
        return stop.trap(Code.SYNTAX, "the quotes do not come in pairs", '"…"', "add the missing one")
    return None


def _equals(stop: Stop) -> Trap | None:
    """A key that is not followed by an equals sign, or a line that is no key at all."""
    if stop.message.startswith("Expected '='"):
        if stop.after.startswith(":"):
            return stop.trap(
                Code.SYNTAX, "there is a colon in place of an equals sign", "key = value", "write an equals sign"
            )
        if "=" in stop.after:
            name = short(stop.written.split("=")[0].strip())
            if '"' in name or "'" in name:
                return stop.trap(
                    Code.SYNTAX,
                    f"key {quoted(name)} has quotes in it",
                    "key = value",
                    "write a key in small letters, digits and _, without quotes",
                )
            return stop.trap(
                Code.SYNTAX,
                f"key {quoted(name)} has a blank in it",
                "key = value",
                f'write {name.replace(" ", "_")}, or a name in quotes: "{name}" = …',
            )
        return stop.trap(Code.SYNTAX, "there is no equals sign after the key", "key = value", "write key = value")
    if stop.message.startswith("Invalid statement"):
        hint = (
            "begin a comment with #"
            if stop.written.strip()[:2] in ("//", "--", "; ", "/*")
            else "write key = value, or begin a comment with #"
        )
        return stop.trap(Code.SYNTAX, "the line is not a key, a table or a comment", "key = value", hint)
    if stop.message.startswith("Invalid initial character for a key part"):
        return stop.trap(
            Code.SYNTAX,
            "a key begins with a character that needs quotes",
            "key = value",
            "put the key in quotes, or use letters, digits, - and _",
        )
    return None


def _list(stop: Stop) -> Trap | None:
    """A list that is not closed, whose entries have no comma between them, or with a bare word in it."""
    if stop.message.startswith("Invalid value"):
        return stop.trap(
            Code.NO_QUOTES,
            "a value in a list or table is missing, or has no quotes",
            "a number, or text in quotes",
            'write text in quotes: ["1", "A2"]',
        )
    if not stop.message.startswith("Unclosed array"):
        return None
    return stop.trap(Code.SYNTAX, "a list is not closed, or a comma is missing in it", "[a, b]", "write it like [1, 2]")


def _brackets(stop: Stop) -> Trap | None:
    """The brackets around the name of a table do not pair."""
    if not stop.message.startswith("Expected ']") and not stop.written.lstrip().startswith("["):
        return None
    return stop.trap(
        Code.BRACKETS,
        "the brackets around the table's name do not pair",
        "[name] or [[name]]",
        "write [name] or [[name]]",
    )
