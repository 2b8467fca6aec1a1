"""Which passphrases lock a key, and how well it is locked."""

from __future__ import annotations

import base64
import subprocess
import sys

import pytest

from clampbook.signing.passphrase import unfit
from signers import PHRASE

PROGRAM = "from clampbook.signing import secret; print(secret.made().locked('four little words').decode())"


@pytest.mark.parametrize(
    "phrase", [PHRASE, "brass lantern quay", "Kettle-fog-anvil", "zwölf kleine Möwen", "x9!kQ2#vLm4z"]
)
def test_a_good_one_is_taken(phrase: str) -> None:
    """Four words, or twelve characters that nobody guesses."""
    assert unfit(phrase) is None


@pytest.mark.parametrize(
    ("phrase", "told"),
    [
        ("four little", "too short. Use 12 characters or more"),
        ("x" * 201, "too long"),
        ("with a \x1b escape", "cannot be seen"),
        ("password1234", "one of the first that anybody tries"),
        ("Pass word 1234!", "one of the first that anybody tries"),
        ("correct horse battery staple", "one of the first that anybody tries"),
        ("aaaaaaaaaaaaaaa", "one of the first that anybody tries"),
        ("torque torque torque", "one of the first that anybody tries"),
        ("123456789012", "one of the first that anybody tries"),
        ("abcdefghijklm", "one of the first that anybody tries"),
        ("QWERTYUIOPAS", "one of the first that anybody tries"),
        ("            ", "one of the first that anybody tries"),
    ],
)
def test_a_poor_one_is_not(phrase: str, told: str) -> None:
    """Too short, too long, not to be seen, or what everybody tries first."""
    assert told in (unfit(phrase) or "")


def test_a_new_key_is_locked_by_more_rounds_than_openssh_takes() -> None:
    """The file itself says how many: cipher, derivation, then its salt of 16 bytes and the number."""
    made = subprocess.run([sys.executable, "-W", "ignore", "-c", PROGRAM], capture_output=True, check=True, timeout=60)
    data = base64.b64decode(b"".join(made.stdout.strip().splitlines()[1:-1]))

    at = data.index(b"bcrypt") + len(b"bcrypt") + 4
    assert 16 == int.from_bytes(data[at : at + 4], "big")
    assert 64 == int.from_bytes(data[at + 20 : at + 24], "big")
