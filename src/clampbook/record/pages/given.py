"""The state of each signature that a run announced, as the report says it: given, given up, or still to come."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from msgspec import Struct

from clampbook.record.sealed import given_up
from clampbook.record.sealed.given_up import GivenUp
from clampbook.record.sealed.names import GIVEN_UP, signature_of

_TABLES = ("inspection", "decision", "sign_off")
SIGNED, TO_COME = "signed with a key", "not signed yet"


class Given(Struct, frozen=True):
    """The state of the name in a line, by the number of the line; `keyed`: somebody signed at the end with a key,
    who signs the seal too; `gone` are the signatures that were given up."""

    by_line: Mapping[int, str] = {}
    keyed: bool = False
    gone: tuple[GivenUp, ...] = ()

    def told(self, line: int) -> str:
        """Tell how it stands; a line that announces no signature is never called signed."""
        return self.by_line.get(line, TO_COME)


def given(record: Mapping[str, Any], attached: Mapping[str, bytes]) -> Given:
    """Read what the files beside a run say of the signatures that its record tells of. Raises RecordFault.

    They are numbered in the order of the lines that announce them.
    """
    rows = [row for table in _TABLES for row in record.get(table, ()) if row.get("key")]
    lines = sorted({int(row["line"]) for row in rows})
    gone = given_up.read(attached.get(GIVEN_UP))
    why = {each.number: each.told for each in gone}
    by_line = {
        line: SIGNED if signature_of(number) in attached else why.get(number, TO_COME)
        for number, line in enumerate(lines, start=1)
    }
    keyed = any(row.get("key") for row in record.get("sign_off", ()))
    return Given(by_line, keyed and 0 not in why, gone)
