"""The end of the report: what the record proves and what it does not, its fingerprint, and the sign-offs."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from hashlib import sha256

from clampbook.record.pages.blocks import Block, Facts, Heading, Sentences, Table
from clampbook.record.pages.telling import NO_TIME, Row, Telling, day_and_time
from clampbook.run.questions.typed_in import WHO_TYPED
from clampbook.signing.seal_text import LogHead
from clampbook.text import counted, grouped, started

_UNSIGNED = (
    "Names were typed. This shows accidents and clumsy edits, not a rewritten daybook, nor one cut off at its end. For "
    "that, compare fingerprint and number of lines with a copy held elsewhere, such as this page on paper."
)
_SIGNED = (
    "Signed. The seal covers every page and is signed too. Any change shows, if you know the fingerprints from "
    "elsewhere and not only from this page."
)
_ANNOUNCED = (
    "Not every announced signature is attached. Until all are, the run is closed and not sealed, and its names are "
    "worth no more than typed ones."
)
_CHECKED = (
    "To check this without Clampbook, save the attached files in one folder. There sha256sum -c facts.sha256 tells "
    "whether they are the files that were signed. The lines below tell whether each text was signed by the person it "
    "names (ssh-keygen is part of OpenSSH, from version 9.1 on).",
    "In the folder of the run sha256sum -c seal.sha256 checks every file, this one too. seal.txt has the sum of that "
    "list. ssh-keygen -Y verify -f allowed_signers -I NAME -n clampbook-seal -s seal.txt.sig < seal.txt tells whether "
    "NAME signed it.",
    "No tool tells whose the keys are. Compare their fingerprints with what you know from elsewhere.",
)
_NOBODY = (
    "To check this without Clampbook, save the attached files in one folder. There sha256sum -c facts.sha256 tells "
    "whether they belong together. In the folder of the run sha256sum -c seal.sha256 checks every file, this one too.",
)
_ORDER = "Lines stand in the order of writing. Their times come from the clock at the bench, which may be wrong."
_ORDER_OF_A_FORM = (
    "Lines stand in the order of typing. Times are those on the paper form, as far as they stand there. "
    "They were typed in from {} to {}."
)
# True when the report is sealed and when it is printed again, which gives the same bytes.
_LOG = (
    "The log of the book stands here as it was before this run was sealed. The seal adds a line. After each run note "
    "the log’s number of lines and its last hash outside the book: clampbook verify --head finds whatever is removed "
    "from the log or rewritten up to that line, and nothing after it."
)
_GONE = (
    "Some announced signatures were skipped, see page one. They are worth no more than typed names. The others show "
    "any change of what they were given for, if you know the fingerprints from elsewhere and not only from this page."
)


_IN_WORDS = ("Lines in the daybook", "Written by")
_WHO = re.compile(rb"^Name: .*\(([a-z0-9-]+)\)$", re.MULTILINE)


def proof(telling: Telling, attached: Mapping[str, bytes], log: LogHead | None = None) -> Iterator[Block]:
    """The fingerprint and what is attached, which stand last; `log` is where the book's log stood before
    the run was sealed."""
    record = telling.record
    keys = list(_keys(telling))
    yield Heading("What this record proves")
    typed = [day_and_time(record[each]) for each in ("typed_from", "typed_to") if record.get(each)]
    order = _ORDER_OF_A_FORM.format(*typed) if typed else _ORDER
    yield Sentences(
        (
            _worth(telling, attached),
            order,
            *((_LOG,) if log is not None else ()),
        )
    )
    facts = [
        ("Last line, SHA-256", grouped(record["last_line_sha256"])),
        ("Lines in the daybook", str(record["lines"])),
    ]
    facts += [(f"Key of {name}", key) for name, key in keys]
    facts += [("Log of the book before", _log(record["log_head"])), ("Book", record["book"])]
    if log is not None:
        facts += [before_the_seal(log)]
    facts += [("Written by", f"Clampbook {record['program']}, record format {record['record']}")]
    codes = tuple(at for at, (name, _) in enumerate(facts) if name not in _IN_WORDS and "empty" not in facts[at][1])
    yield Facts(tuple(facts), codes=codes)
    files = counted(len(attached), "file")
    yield Sentences((f"{started(files)} attached, which make the record whole without Clampbook:",), sticky=True)
    yield Table(
        head=("File", "Bytes", "SHA-256"),
        widths=(0, 0, 1),
        rows=tuple((name, str(len(data)), sha256(data).hexdigest()) for name, data in attached.items()),
        points=(1,),
        codes=(0, 2),
    )
    yield from _by_hand(attached)


def _worth(telling: Telling, attached: Mapping[str, bytes]) -> str:
    """Tell what the record shows: signed by all who said so, announced to be signed, or not signed at all."""
    tables = ("sign_off", "decision", "inspection")
    announced = sum(bool(row.get("key")) for name in tables for row in telling.rows(name))
    if not announced:
        return _UNSIGNED
    if telling.given.gone:
        return _GONE
    return _SIGNED if announced <= sum(name.endswith(".sig") for name in attached) else _ANNOUNCED


def _texts(attached: Mapping[str, bytes]) -> list[str]:
    """The names of the texts that were signed."""
    return [name for name in attached if name.startswith("signoff-") and name.endswith(".txt")]


def _by_hand(attached: Mapping[str, bytes]) -> Iterator[Block]:
    """Explain how the record is checked with nothing but tools that are everywhere."""
    if "facts.sha256" not in attached:
        return
    texts = _texts(attached)
    yield Sentences(_CHECKED if texts else _NOBODY, sticky=bool(texts), codes=True)
    if texts:
        rows = tuple((name, _command(name, attached[name])) for name in texts)
        yield Table(head=("Text", "Command"), widths=(0, 1), rows=rows, codes=(0, 1))


def _command(name: str, text: bytes) -> str:
    found = _WHO.search(text)
    who = found[1].decode() if found is not None else "NAME"
    return f"ssh-keygen -Y verify -f allowed_signers -I {who} -n clampbook -s {name}.sig < {name}"


def _keys(telling: Telling) -> Iterator[tuple[str, str]]:
    """Each key that vouched for something, once."""
    decided = [each for row in telling.rows("deviation") for each in row.get("decided", ())]
    rows = [row for row in [*telling.rows("sign_off"), *decided, *telling.rows("inspection")] if row.get("key")]
    named = ((row.get("person_name") or row["inspector_name"], row["key"]) for row in rows)
    yield from dict.fromkeys((str(name), str(key)) for name, key in named)


def sign_offs(telling: Telling) -> Iterator[Block]:
    """Tell who looked at a hold point and who signed at the end, for what, and how the name was given."""
    yield Heading("Sign-offs")
    rows = [_looked(telling, row) for row in telling.rows("inspection") if "inspector_name" in row]
    rows += [_sign_off(telling, row) for row in telling.rows("sign_off")]
    if not rows:
        yield Sentences(("None asked for.",))
        return
    yield Table(
        head=("Role", "Name", "Given as", "Meaning", "When", "Entered by"),
        widths=(0, 1, 0, 2, 0, 0),
        rows=tuple(rows),
    )


def _looked(telling: Telling, row: Row) -> tuple[str, ...]:
    """Whoever signed at a hold point, which comes before the sign-offs at the end."""
    reason = f": {row['reason']}" if row.get("reason") else ""
    meaning = f"{row['meaning']}{'' if row['as_expected'] else ', not as expected'}{reason}"
    given = telling.given_as(row)
    asked = f"hold point, stage\u00a0{telling.stage(row['stage'])}"
    return asked, row["inspector_name"], given, meaning, _when(row, row["at"]), telling.by(row)


def _sign_off(telling: Telling, row: Row) -> tuple[str, ...]:
    if "person_name" not in row:
        return row["role"], "–", "", f"left open, {'required' if row['required'] else 'not required'}", "", ""
    reason = f": {row['reason']}" if row.get("reason") else ""
    given = telling.given_as(row)
    meaning = f"{row['meaning']}{reason}"
    signed_at = row.get("typed_at", row["at"]) if row["role"] == WHO_TYPED else row["at"]
    by = telling.name(row["by"]) if telling.record.get("from_paper") else telling.by(row)
    return row["role"], row["person_name"], given, meaning, _when(row, signed_at), by


def _when(row: Row, at: str) -> str:
    """Day and time, where they stand on a form that was typed in."""
    return NO_TIME if row.get("no_time_on_form") else day_and_time(at)


def _log(head: str) -> str:
    return "empty: this was the first run of the book" if set(head) == {"0"} else grouped(head)


def before_the_seal(log: LogHead) -> tuple[str, str]:
    """Tell where the book's log stood when a run or a check was sealed: its name, and how it is noted down."""
    return "Log before the seal", f"{log.shown} (book, number of lines, last hash)"
