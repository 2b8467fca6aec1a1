"""The end of the report: what the record proves and what it does not, its fingerprint, and the sign-offs."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from hashlib import sha256

from clampbook.record.pages.blocks import Block, Facts, Heading, Sentences, Table
from clampbook.record.pages.telling import Row, Telling, counted, day_and_time, started

_UNSIGNED = (
    "No key signed this record: the names in it were typed. It shows accidents and clumsy edits, because each line of "
    "the daybook holds the fingerprint of the line before. By itself it shows neither a daybook that was written anew "
    "from first line to last nor one that was cut off at its end: for that, compare fingerprint and number of lines "
    "with a copy kept elsewhere, such as this page on paper."
)
_SIGNED = (
    "This record is signed. It shows any change, provided that the fingerprints of the keys are known from elsewhere "
    "and not only from this page."
)
_ORDER = (
    "The lines stand in the order in which they were written. Their times come from the clock of the machine at the "
    "bench, which may be wrong."
)


def proof(telling: Telling, attached: Mapping[str, bytes]) -> Iterator[Block]:
    """The fingerprint and the sign-offs, which stand last."""
    record = telling.record
    keys = list(_keys(telling))
    yield Heading("What this record proves")
    yield Sentences((_SIGNED if keys else _UNSIGNED, _ORDER))
    facts = [
        ("Last line, SHA-256", grouped(record["last_line_sha256"])),
        ("Lines in the daybook", str(record["lines"])),
    ]
    facts += [(f"Key of {name}", key) for name, key in keys]
    facts += [("Log of the book before", _log(record["log_head"])), ("Book", record["book"])]
    facts += [("Written by", f"Clampbook {record['program']}, record format {record['record']}")]
    yield Facts(tuple(facts))
    files = counted(len(attached), "file")
    yield Sentences(
        (f"{started(files)} are attached to this one, which make the record whole without Clampbook:",), sticky=True
    )
    yield Table(
        head=("File", "Bytes", "SHA-256"),
        widths=(0, 0, 1),
        rows=tuple((name, str(len(data)), sha256(data).hexdigest()) for name, data in attached.items()),
    )
    yield from _sign_offs(telling)


def _keys(telling: Telling) -> Iterator[tuple[str, str]]:
    """Each key that vouched for something, once."""
    decided = [each for row in telling.rows("deviation") for each in row.get("decided", ())]
    rows = [row for row in [*telling.rows("sign_off"), *decided] if row.get("key")]
    yield from dict.fromkeys((str(row["person_name"]), str(row["key"])) for row in rows)


def _sign_offs(telling: Telling) -> Iterator[Block]:
    yield Heading("Sign-offs")
    rows = [_looked(telling, row) for row in telling.rows("inspection") if "inspector_name" in row]
    rows += [_sign_off(telling, row) for row in telling.rows("sign_off")]
    if not rows:
        yield Sentences(("The sheet asks for none.",))
        return
    yield Table(
        head=("Role", "Name", "Given as", "Meaning", "When", "Written by"),
        widths=(0, 1, 0, 2, 0, 0),
        rows=tuple(rows),
    )


def _looked(telling: Telling, row: Row) -> tuple[str, ...]:
    """Whoever signed at a hold point, which comes before the sign-offs at the end."""
    reason = f": {row['reason']}" if row.get("reason") else ""
    meaning = f"{row['meaning']}{'' if row['as_expected'] else ', not as expected'}{reason}"
    given = row.get("name_given_as") or "signed with a key"
    asked = f"hold point, stage\u00a0{row['stage']}"
    return asked, row["inspector_name"], given, meaning, day_and_time(row["at"]), telling.by(row)


def _sign_off(telling: Telling, row: Row) -> tuple[str, ...]:
    if "person_name" not in row:
        return row["role"], "–", "", row["meaning"], "", ""
    reason = f": {row['reason']}" if row.get("reason") else ""
    given = row.get("name_given_as") or "signed with a key"
    meaning = f"{row['meaning']}{reason}"
    return row["role"], row["person_name"], given, meaning, day_and_time(row["at"]), telling.by(row)


def _log(head: str) -> str:
    return "empty: this was the first run of the book" if set(head) == {"0"} else grouped(head)


def grouped(fingerprint: str) -> str:
    """In groups of four, so that two people can compare it aloud."""
    return " ".join(fingerprint[at : at + 4] for at in range(0, len(fingerprint), 4))
