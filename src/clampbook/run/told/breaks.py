"""A break in a run, in words for somebody who resumes it: what its last lines and its clock show."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any


def after_a_break(resumed: Mapping[str, Any]) -> Iterator[str]:
    """Tell what a break left behind; `resumed` are the fields of the line that this start has written."""
    if resumed.get("clock") == "implausible":
        yield "The clock has jumped. This counts as a long break."
    torn = resumed.get("torn_bytes")
    if torn:
        yield f"{torn} bytes of a torn last line are saved beside the daybook."
