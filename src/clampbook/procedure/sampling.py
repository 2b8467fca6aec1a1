"""The sample of a stage as a person writes it: "10 %, at least 2", and how many more where one fails."""

from __future__ import annotations

import re
from decimal import Decimal

from clampbook.procedure.amounts import Reading
from clampbook.procedure.codes import Code
from clampbook.procedure.entries import Entry
from clampbook.procedure.model import Once, Sample
from clampbook.procedure.sheet_stages import InspectTable, MeasureTable, RecheckTable
from clampbook.procedure.washing import UNREAD
from clampbook.text import quoted

_SHARE = re.compile(r"(?P<share>\d{1,3}(?:[.,]\d{1,6})?)\s*%(?:\s*,?\s*at least\s+(?P<least>\d{1,6}))?")
_NUMBER = re.compile(r"(?:at least\s+)?(?P<least>\d{1,6})")
_EXAMPLE = '"10 %, at least 2", or a number such as 3'


def sample_of(
    reading: Reading, entry: Entry, table: InspectTable | MeasureTable | RecheckTable, asked: Once
) -> Sample | None:
    """The sample of a stage; None where none is drawn, or a slip leaves too little of it."""
    if table.sample is None:
        if table.if_one_fails is not None:
            _slip(reading, entry, "if_one_fails", "stands without sample", f"add a line like sample = {_EXAMPLE[:18]}")
        return None
    if table.sample == UNREAD:
        return None
    if entry.block_table is not None:
        _slip(
            reading, entry, "sample", "stands inside for_each", "remove sample, or make the step a [[stage]] of its own"
        )
        return None
    if entry.group is None:
        _slip(reading, entry, "sample", "stands at a stage without a group", "name the group, or remove sample")
        return None
    if asked == "once":
        _slip(reading, entry, "sample", "stands where no position is looked at alone", 'write asked = "each"')
        return None
    return _read(reading, entry, table)


def _read(reading: Reading, entry: Entry, table: InspectTable | MeasureTable | RecheckTable) -> Sample | None:
    written = (table.sample or "").strip()
    found = _SHARE.fullmatch(written) or _NUMBER.fullmatch(written)
    share = None
    if found is not None and found.re is _SHARE:
        share = Decimal(found["share"].replace(",", "."))
    least = 1 if found is None or found["least"] is None else int(found["least"])
    if found is None or least == 0 or (share is not None and not 0 < share <= 100):
        reading.slips.add(
            Code.SAMPLE,
            (*entry.at, "sample"),
            f"{quoted(written)} does not say how many positions are drawn",
            found=written,
            allowed=_EXAMPLE,
            hint='write sample = "10 %, at least 2", or a number',
        )
        return None
    if least > len(entry.positions) > 0:
        _slip(
            reading,
            entry,
            "sample",
            f"wants {least} of {len(entry.positions)} positions",
            f"write sample = {len(entry.positions)}, or less",
        )
        return None
    return Sample(share=share, least=least, then=table.if_one_fails or "as many again")


def _slip(reading: Reading, entry: Entry, key: str, what: str, hint: str) -> None:
    reading.slips.add(
        Code.SAMPLE,
        (*entry.at, key),
        f"{key} {what}",
        found=what,
        allowed="sample on inspect, measure or recheck, at each position of a group",
        hint=hint,
    )
