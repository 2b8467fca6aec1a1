"""Daybooks of the small head, written line by line."""

from __future__ import annotations

import hashlib
import tomllib
from datetime import UTC, datetime, timedelta
from typing import Any

import msgspec

from clampbook.ledger.lines import NOTHING_BEFORE, digest
from clampbook.record.pages.departed import words
from clampbook.record.pages.telling import Telling
from clampbook.record.record import build
from clampbook.run import events as e
from clampbook.run.plan import Plan, encode

from .head import INES, MAUD, PROCEDURE, TOMAS, W5, a_plan


class Daybook:
    """The daybook of one run while a test writes it: each line ten seconds after the one before."""

    def __init__(self, plan: Plan | None = None, **opened: Any) -> None:
        self.plan = plan if plan is not None else a_plan()
        self.lines: list[bytes] = []
        self.now = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)
        first: dict[str, Any] = {
            "daybook": 2,
            "run": "20260302-head-k7q2m4xa",
            "book": "harbour-museum",
            "log_head": "ab" * 32,
            "procedure_sha256": hashlib.sha256(PROCEDURE).hexdigest(),
            "plan_sha256": hashlib.sha256(encode(self.plan)).hexdigest(),
            "person": INES,
            "version": "0.1.0",
            "clock": "system",
            "equipment": "Whinchat",
        }
        self.add(e.Opened, **(first | opened))

    def add(self, event: Any, **found: Any) -> int:
        """Write one more line and return its number."""
        self.now += timedelta(seconds=10)
        at = self.now.isoformat(timespec="milliseconds").replace("+00:00", "Z")
        fields = {"at": at, "offset": "+01:00", "by": "ines"} | found
        before = digest(self.lines[-1]) if self.lines else NOTHING_BEFORE
        written = event(**fields, seq=len(self.lines) + 1, prev=before)
        self.lines.append(msgspec.json.encode(written, order="sorted"))
        return len(self.lines)

    def reading(self, step: str, value: str, verdict: str = "within", **found: Any) -> int:
        """A reading of W5 in the sheet's unit, window 28 to 32 N·m."""
        fields: dict[str, Any] = {
            "step": step,
            "attempt": 1,
            "tool": "w5",
            "typed": value,
            "value": value,
            "unit": "N·m",
            "at_fastener": value,
            "window": ("28.0", "32.0"),
            "verdict": verdict,
        }
        return self.add(e.ReadingTaken, **(fields | found))

    def clicked(self, step: str, set_to: str = "30.0", **found: Any) -> int:
        """A click of W2."""
        fields: dict[str, Any] = {
            "step": step,
            "attempt": 1,
            "tool": "w2",
            "set_to": set_to,
            "unit": "N·m",
            "at_fastener": set_to,
            "window": ("28.0", "32.0"),
        }
        return self.add(e.Clicked, **(fields | found))

    def turned(self, step: str, value: str | None, total: str | None, verdict: str = "within", **found: Any) -> int:
        """A stroke with the gauge; `value` None by the mark."""
        fields: dict[str, Any] = {
            "step": step,
            "attempt": 1,
            "tool": "g1",
            "typed": value,
            "value": value,
            "sum": total,
            "window": ("90", "94"),
            "verdict": verdict,
        }
        return self.add(e.Turned, **(fields | found))

    def confirmed(self, first: str, last: str) -> int:
        """Several clicks of W2 at 10 N·m in one answer."""
        window = ("9", "11")
        return self.add(
            e.Confirmed, first=first, last=last, tool="w2", set_to="10", unit="N·m", at_fastener="10", window=window
        )

    def measured(self, step: str, value: str, verdict: str = "within", **found: Any) -> int:
        """End play in mm, window 0.10 to 0.25 mm."""
        fields: dict[str, Any] = {
            "step": step,
            "attempt": 1,
            "typed": value,
            "value": value,
            "unit": "mm",
            "result": value,
            "window": ("0.10", "0.25"),
            "verdict": verdict,
        }
        return self.add(e.Measured, **(fields | found))

    def decided(self, about: int, choice: str, cause: str = "over", **found: Any) -> int:
        """A decision about a line."""
        return self.add(e.Decided, about=about, cause=cause, choice=choice, **found)

    def loosened(self, step: str, position: str, attempt: int = 2) -> int:
        """A position is loosened before it is taken from the beginning."""
        return self.add(e.Loosened, step=step, position=position, attempt=attempt, work=True)

    def closed(self, outcome: str = "done", **found: Any) -> int:
        """The last line."""
        return self.add(e.Closed, outcome=outcome, **found)

    @property
    def data(self) -> bytes:
        """The daybook's bytes."""
        return b"".join(line + b"\n" for line in self.lines)

    def text(self) -> str:
        """record.toml as text."""
        return build(PROCEDURE, encode(self.plan), self.data).decode()

    def record(self) -> dict[str, Any]:
        """record.toml as anybody's TOML reader sees it."""
        return tomllib.loads(self.text())


def at_line(rows: list[dict[str, Any]], line: int) -> dict[str, Any]:
    """The one row that a line of the daybook gave."""
    found = [row for row in rows if row.get("line") == line]
    assert 1 == len(found), found
    return found[0]


def a_full_run() -> Daybook:
    """A run with one of nearly everything."""
    day = Daybook(done_by_person=TOMAS)
    day.add(e.CautionsRead, item="cautions", cautions=("Engine cold, below 30 °C.",))
    day.add(e.Asked, item="ask:Engine serial number", typed="C-207")
    day.add(e.PartRecorded, item="part:Head gasket", part="Head gasket", typed="lot 88")
    day.add(e.ToolTaken, tool=W5)
    day.add(e.ToolZeroed, tool="w5", state="good")
    day.reading("1.1/1", "30.1")
    over = day.reading("1.1/2", "33.5", "over")
    day.decided(over, "concession", step="1.1/2", position="2", reason="no other fastener to be had", person=MAUD)
    day.add(e.Noted, text="bolt 2 squeaked")
    day.add(e.Paused, cause="asked")
    day.add(e.Resumed, gap="42.5", clock="plausible")
    day.measured("3.1/-", "0.18")
    day.add(e.Waited, step="4.1/-", since="2026-03-02T07:00:00.000Z", lasts="600")
    day.add(
        e.Inspected, step="5.1/-", answer="yes", as_expected=True, inspector=MAUD, meaning="independently inspected"
    )
    day.confirmed("6.1/11", "6.1/12")
    day.add(e.SignedOff, role="assembler", meaning="performed", person=INES)
    day.closed("accepted")
    return day


def kinds(day: Daybook) -> list[tuple[int, str]]:
    """Line and kind of each deviation."""
    return [(row["line"], row["kind"]) for row in deviations(day)]


def only(day: Daybook) -> dict[str, Any]:
    """The one deviation of a run."""
    (row,) = deviations(day)
    return row


def deviations(day: Daybook) -> list[dict[str, Any]]:
    """Each deviation with its kinds, and with what the report says of it."""
    return worded(day.record())


def worded(record: dict[str, Any]) -> list[dict[str, Any]]:
    """The same of a record."""
    telling = Telling(record)
    return [
        row
        | {
            "kind": ", ".join(dict.fromkeys(each["kind"] for each in row["departed"])),
            "what": words(telling, row),
        }
        for row in record.get("deviation", [])
    ]


def corrected(day: Daybook, of: int, value: str, verdict: str = "within") -> int:
    """A mistyped reading of position 1 is put right, as a second person saw it."""
    return day.add(
        e.Corrected,
        of=of,
        step="1.1/1",
        attempt=1,
        typed=value,
        value=value,
        unit="N·m",
        at_fastener=value,
        window=("28.0", "32.0"),
        verdict=verdict,
        what="reading",
        known="a second person saw it",
    )
