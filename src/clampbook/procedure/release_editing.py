"""A release or a withdrawal written into a procedure file; comments, order and layout stay as somebody wrote them.

Pure: bytes in, bytes out. Whoever writes them compares first.
"""

from __future__ import annotations

import re
import tomllib
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any

import tomli_w

from clampbook.procedure.model import Accepted

Rows = Mapping[str, str]
_STATUS = re.compile(rb'''(?m)^(status[ \t]*=[ \t]*)"released"''')
_STATUS_ADDED = re.compile(rb"""(?m)^(revision[ \t]*=.*\n)status = "released"\r?\n""")


class NotWritten(ValueError):  # noqa: N818 - a refusal that carries a sentence
    """The file cannot be changed by the program; `sentence` says why and what to do."""

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence


def accepting(data: bytes, accepted: Sequence[Accepted]) -> bytes:
    """The file with answers to queries: at its end, or in the list in brackets that it has. Raises NotWritten."""
    if not accepted:
        return data
    rows = [{"query": each.query, "because": each.because} for each in accepted]
    held = tomllib.loads(data.decode())
    wanted = {**held, "accepted": [*held.get("accepted", []), *rows]}
    longer = _below(data, "".join(map(_answer, rows)))
    if "accepted" in held and not _reads(longer):  # nothing can follow a list in brackets
        longer = _edited(data, lambda document: document["accepted"].extend(rows))
    return _sure(data, longer, wanted)


def _answer(row: Rows) -> str:
    return f"\n[[accepted]]\n{tomli_w.dumps(row)}"


def released(data: bytes, release: Rows) -> bytes:
    """The file as a released revision: its status, and [release] with these keys. Raises NotWritten."""
    held = {key: value for key, value in tomllib.loads(data.decode()).items() if key != "withdrawal"}
    wanted = {**held, "status": "released", "release": dict(release)}
    return _sure(data, _with(_with_status(data, "released"), "release", release, without="withdrawal"), wanted)


def before_release(data: bytes) -> tuple[bytes, ...]:
    """The drafts that become exactly this file by their release, of which one was it; none where that left no trace.

    Whether a draft had a line with its status, and which answers to queries were given with the release, nothing tells.
    """
    head, mark, _ = data.rpartition(b"\n[release]\n")
    if not mark:
        return ()
    held = tomllib.loads(data.decode())
    found: list[bytes] = []
    for draft, given in _without_answers(head, held.get("accepted", [])):
        for each in _without_status(draft):
            with_answers = _below_each(each, given)
            if _reads(with_answers) and _releases_to(with_answers, held["release"], data):
                found.append(each)
    return tuple(dict.fromkeys(found))


def _without_answers(data: bytes, accepted: Sequence[Rows]) -> Iterator[tuple[bytes, tuple[Rows, ...]]]:
    """The file as it is, then without its last answers to queries, one more each time; with those left out."""
    given: tuple[Rows, ...] = ()
    yield data, given
    for row in reversed(accepted):
        text = _answer(row).encode()
        if not data.endswith(text):
            return
        data, given = data.removesuffix(text), (row, *given)
        yield data, given


def _without_status(data: bytes) -> Iterator[bytes]:
    """The same as a draft that said so, and as one that said nothing of it: then the line stands below the
    revision."""
    for written, before in ((_STATUS, rb'\1"draft"'), (_STATUS_ADDED, rb"\1")):
        draft, found = written.subn(before, data, count=1)
        if found:
            yield draft


def _below_each(data: bytes, rows: Sequence[Rows]) -> bytes:
    return data + "".join(map(_answer, rows)).encode()


def _releases_to(draft: bytes, release: Rows, data: bytes) -> bool:
    try:
        return released(draft, release) == data
    except NotWritten:
        return False


def withdrawn(data: bytes, withdrawal: Rows) -> bytes:
    """The file as a withdrawn revision: its status, and [withdrawal] with these keys. Raises NotWritten."""
    wanted = {**tomllib.loads(data.decode()), "status": "withdrawn", "withdrawal": dict(withdrawal)}
    return _sure(data, _with(_with_status(data, "withdrawn"), "withdrawal", withdrawal), wanted)


def as_next_revision(data: bytes, revision: str) -> bytes:
    """The file as a draft of another revision, without a release or withdrawal. Raises NotWritten."""
    held = tomllib.loads(data.decode())
    wanted = {key: value for key, value in held.items() if key not in ("release", "withdrawal")}
    wanted |= {"revision": revision} | ({"status": "draft"} if "status" in held else {})

    def change(document: Any) -> None:
        document["revision"] = revision
        if "status" in document:
            document["status"] = "draft"
        for table in ("release", "withdrawal"):
            if table in document:
                document.remove(table)

    after = _edited(data, change).rstrip(b"\r\n") + b"\n"
    return _sure(data, after + _left_out(data, after), wanted)


def _left_out(before: bytes, after: bytes) -> bytes:
    """The comments that stood in a table which is gone, in their order."""
    missing, lines = _comments(before) - _comments(after), []
    for line in map(str.strip, before.decode().splitlines()):
        if missing[line] > 0:
            missing[line] -= 1
            lines.append(f"{line}\n")
    return "".join(lines).encode()


def _with_status(data: bytes, status: str) -> bytes:
    """The key `status` in its place, else in a line below the revision."""
    if "status" in tomllib.loads(data.decode()):
        return _edited(data, lambda document: document.__setitem__("status", status))
    from clampbook.procedure.places import Places

    line = Places(data).line(("revision",))
    if line is None:
        raise _by_hand("no line of the revision was found")
    lines = data.split(b"\n")
    end = b"\r" if lines[line - 1].endswith(b"\r") else b""
    return b"\n".join([*lines[:line], f'status = "{status}"'.encode() + end, *lines[line:]])


def _with(data: bytes, table: str, rows: Rows, without: str | None = None) -> bytes:
    """A table with exactly these keys: in its place where it is there, else at the end of the file."""
    held = tomllib.loads(data.decode())
    if without in held:
        data = _edited(data, lambda document: document.remove(without))
    if table not in held:
        return _below(data, f"\n[{table}]\n{tomli_w.dumps(rows)}")

    def change(document: Any) -> None:
        for key in [key for key in document[table] if key not in rows]:
            document[table].remove(key)
        for key, value in rows.items():
            _put(document[table], key, value)

    return _edited(data, change)


def _put(table: Any, key: str, value: str) -> None:
    """A new key stands below the last one, above blank lines and comments that belong to what comes next."""
    if key in table:
        table[key] = value
        return
    body: list[tuple[object, object]] | None = getattr(table.value, "body", None)
    behind: list[tuple[object, object]] = []
    while body and body[-1][0] is None:
        behind.insert(0, body.pop())
    table[key] = value
    if body is not None:
        body.extend(behind)


def _edited(data: bytes, change: Callable[[Any], None]) -> bytes:
    import tomlkit
    from tomlkit.exceptions import TOMLKitError

    try:
        document = tomlkit.parse(data.decode())
        change(document)
        return tomlkit.dumps(document).encode()
    except (TOMLKitError, AttributeError, TypeError) as error:
        raise _by_hand(str(error)) from error


def _below(data: bytes, text: str) -> bytes:
    return (data if data.endswith(b"\n") else data + b"\n") + text.encode()


def _sure(before: bytes, after: bytes, wanted: Mapping[str, Any]) -> bytes:
    """The bytes, where they mean exactly what was wanted and no comment was lost."""
    if not _reads(after) or tomllib.loads(after.decode()) != wanted:
        raise _by_hand("it would no longer say the same")
    if _comments(before) - _comments(after):
        raise _by_hand("a comment would be lost")
    return after


def _reads(data: bytes) -> bool:
    """True where it is TOML at all."""
    try:
        tomllib.loads(data.decode())
    except tomllib.TOMLDecodeError:
        return False
    return True


def _comments(data: bytes) -> Counter[str]:
    lines = (line.strip() for line in data.decode().splitlines())
    return Counter(line for line in lines if line.startswith("#"))


def _by_hand(why: str) -> NotWritten:
    told = f"the file is written in a way that the program cannot change ({why})"
    return NotWritten(f"{told}: write status, [release] and [withdrawal] as plain lines and tables of their own")
