"""The tables of the dataset that checks of tools fill."""

from __future__ import annotations

from clampbook.fleet.columns import Table, moment, number, offset, quantity, text, whole, yes_or_no

_OTHER = text("other", "What else the record says of it, as JSON")
_CHECK = text("check", "The check's name")

CHECKS = Table(
    "checks",
    "A check of a tool that is closed",
    (
        _CHECK,
        text("of_book", "Book in which it was opened, also after a merge"),
        text("book_name", "Name of the book that it lies in"),
        yes_or_no("sealed", "It has a seal"),
        text("record_sha256", "SHA-256 of its record.toml"),
        whole("record", "Format of its record"),
        text("kind", "Kind of check"),
        text("source", "bench or file"),
        moment("opened_at", "When it was opened"),
        moment("closed_at", "When it was closed"),
        offset("at_offset", "closed_at"),
        text("outcome", "Outcome"),
        text("as_found", "Verdict as found"),
        text("as_left", "Verdict as left"),
        text("unit", "Unit of the tool"),
        text("tool", "Id of the tool in its book"),
        text("tool_name", "Name of the tool"),
        text("tool_kind", "Kind of tool"),
        text("tool_serial", "Serial number of the tool"),
        text("reference", "Id of the reference in its book"),
        text("reference_name", "Name of the reference"),
        text("reference_serial", "Serial number of the reference"),
        text("reference_certificate", "Certificate of the reference"),
        number("permissible_percent", "Permissible deviation"),
        _OTHER,
    ),
)

CHECK_READINGS = Table(
    "check_readings",
    "A reading of a check, with those that do not count",
    (
        _CHECK,
        text("tool_serial", "Serial number of the tool"),
        text("reference_serial", "Serial number of the reference"),
        moment("closed_at", "When the check was closed"),
        whole("row", "Row of the file"),
        whole("line", "Line of the daybook"),
        text("phase", "as found or as left"),
        text("technique", "Technique of the pull"),
        text("direction", "Direction"),
        text("point", "Torque checked at, in unit"),
        text("typed", "As it was typed"),
        text("typed_unit", "Its unit"),
        text("indicated", "What the tool says, in unit"),
        text("reference", "What the reference says, in unit"),
        text("unit", "Unit of the tool"),
        quantity("point_nm", "Torque checked at", ("point",), ("unit",)),
        quantity("indicated_nm", "What the tool says", ("indicated",), ("unit",)),
        quantity("reference_nm", "What the reference says", ("reference",), ("unit",)),
        number("deviation_percent", "Off by: + where the bolt gets less than the tool says"),
        yes_or_no("beyond", "Beyond what is allowed"),
        yes_or_no("far_from_others", "Far from the others"),
        text("standing", "counts, void or corrected"),
        text("cause", "Why it is void"),
        text("by", "Who typed it"),
        moment("at", "When it was saved"),
        _OTHER,
    ),
)

OF_CHECKS = (CHECK_READINGS, CHECKS)
"""In the order in which they are written: a check stands among the checks when its readings are there."""
