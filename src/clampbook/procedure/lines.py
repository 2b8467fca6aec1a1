"""A key and its value as a line of a file, such as `to = "30 N·m"`: the one way in which examples are written."""

from __future__ import annotations

import json
import re

_BARE = re.compile("[A-Za-z0-9_-]+")


def line(key: str, value: object) -> str:
    """The whole line."""
    return f"{_key(key)} = {written(value)}"


def written(value: object) -> str:
    """The value alone, on one line."""
    match value:
        case str():
            return json.dumps(value, ensure_ascii=False)  # what JSON escapes, TOML escapes alike
        case bool():
            return "true" if value else "false"
        case int():
            return str(value)
        case float():
            return repr(value)
        case list() | tuple():
            return f"[{', '.join(map(written, value))}]"
        case dict():
            return f"{{ {', '.join(line(key, each) for key, each in value.items())} }}"
        case _:
            raise TypeError(f"no value of a file: {value!r}")


def _key(key: str) -> str:
    return key if _BARE.fullmatch(key) else json.dumps(key, ensure_ascii=False)
