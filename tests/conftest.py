"""What holds for every test."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from clampbook.signing import secret

if TYPE_CHECKING:
    from sealing import Shop


@pytest.fixture(autouse=True, scope="session")
def quick_keys() -> Iterator[None]:
    """Keys are made and unlocked hundreds of times: in tests by as few rounds as OpenSSH itself takes at least."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(secret, "ROUNDS", 1)
        yield


@pytest.fixture
def whinchat(tmp_path: Path) -> Shop:
    """A book at the Whinchat in which Ines and Maud sign with keys."""
    from sealing import shop

    return shop(tmp_path / "book")


@pytest.fixture
def at(tmp_path: Path) -> Shop:
    """At the same book, in which they only type their names."""
    from sealing import shop

    return shop(tmp_path / "book", keys=False)
