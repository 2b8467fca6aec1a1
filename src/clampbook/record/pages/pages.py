"""All pages of a report as one value, made from the record and the plan alone."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import msgspec
from msgspec import Struct

from clampbook.record.pages.blocks import Block, Pages
from clampbook.record.pages.clamp_loads import clamp_loads
from clampbook.record.pages.closing import closing
from clampbook.record.pages.front import front
from clampbook.record.pages.given import given
from clampbook.record.pages.joint import joint, small_picture
from clampbook.record.pages.proof import proof, sign_offs
from clampbook.record.pages.signs import breakable, drawn
from clampbook.record.pages.silences import silences
from clampbook.record.pages.stages import stages
from clampbook.record.pages.telling import Row, Telling, universal
from clampbook.record.sealed.names import is_scan
from clampbook.run.plan import Plan
from clampbook.run_folder import DAYBOOK
from clampbook.signing.seal_text import LogHead
from clampbook.text import grouped
from clampbook.unit_table import unparted

_KINDS = {  # file: relationship, MIME type, what it is
    "record.toml": ("data", "application/toml", "The record: every reading, deviation and decision"),
    "procedure.toml": ("source", "application/toml", "The procedure as it was frozen before the first line"),
    "plan.json": ("source", "application/json", "The plan: every step with its target and window"),
    "daybook.jsonl": ("source", "application/x-ndjson", "The daybook: what was done, line by line"),
}
_SCANS = {".pdf": "application/pdf", ".png": "image/png", ".jpg": "image/jpeg"}
_OTHER = ("supplement", "application/octet-stream", "Saved with the record")


def pages(
    plan: Plan, record: Row, attached: Mapping[str, bytes], since: Sequence[str] = (), log: LogHead | None = None
) -> bytes:
    """Give what the template reads, as JSON: every text in it can be drawn, and no word is too long for its column."""
    kinds = ((name, *_kind(name)) for name in attached)
    whole = Pages(
        title=f"{record['title']}, run {record['run']}",
        run=record["run"],
        fingerprint=grouped(record["last_line_sha256"][:16]),
        made=universal(_last(record)),
        blocks=tuple(blocks(plan, record, attached, since, log)),
        attached=tuple(kinds),
    )
    return encoded(whole)


def _kind(name: str) -> tuple[str, str, str]:
    """Relationship, MIME type and description of a file."""
    mime = _SCANS.get(name[-4:]) if is_scan(name) else None
    return _KINDS.get(name, _OTHER) if mime is None else ("supplement", mime, "A scan of the paper form")


def encoded(whole: Struct) -> bytes:
    """Pages as the template reads them: only texts that the typeface can draw and the columns can hold."""
    return msgspec.json.encode(_shown(msgspec.to_builtins(whole)))


def _last(record: Row) -> str:
    return str(record.get("closed_at", record["opened_at"]))


def blocks(
    plan: Plan, record: Row, attached: Mapping[str, bytes], since: Sequence[str] = (), log: LogHead | None = None
) -> Iterator[Block]:
    """Give what stands on the pages, in its order; `since` is what was found out after the run was closed, `log` is
    where the book's log stood before the run was sealed."""
    telling = Telling(record, given(record, attached), plan.numbered, plan.stages, silences(attached.get(DAYBOOK, b"")))
    picture = small_picture(plan, telling) if plan.stages else None  # an addendum holds words and no work
    yield from front(plan, telling, picture, since)
    yield from sign_offs(telling)
    if plan.stages:
        yield from joint(plan, telling, drawn=picture is not None)
        yield from stages(plan, telling)
        yield from clamp_loads(telling, plan)
    yield from closing(telling)
    yield from proof(telling, attached, log)


def _shown(value: Any) -> Any:
    """The same with every text as a page can show it."""
    match value:
        case str():
            return breakable(unparted(drawn(value)))
        case dict():
            return {key: _shown(each) for key, each in value.items()}
        case list() | tuple():
            return [_shown(each) for each in value]
        case _:
            return value
