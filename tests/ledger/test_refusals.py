"""What a disk refuses, in a sentence that says what happened and what to do."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest

from clampbook.ledger.refusals import LedgerFull, refusal


@pytest.mark.parametrize(
    "lost", [errno.EIO, errno.ENOTCONN, errno.ESTALE, errno.ETIMEDOUT, errno.EHOSTUNREACH, errno.ENODEV]
)
def test_a_drive_that_is_lost_is_to_be_brought_back(lost: int) -> None:
    """Whatever the system calls it, a stick that was pulled or a network that is gone."""
    told = refusal(Path("/drive/book.jsonl"), OSError(lost, os.strerror(lost)), "be written").sentence

    said = os.strerror(lost)
    assert told == (
        f"'/drive/book.jsonl' could not be written: the disk does not answer ({said[0].lower()}{said[1:]}). "
        "Is it plugged in, or the network there? Bring it back, then try again"
    )


def test_a_full_disk_is_no_lost_one() -> None:
    """It wants room, nothing else."""
    assert isinstance(refusal(Path("/drive/book.jsonl"), OSError(errno.ENOSPC, ""), "be written"), LedgerFull)
