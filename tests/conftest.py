"""What holds for every test."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from clampbook.signing import secret


@pytest.fixture(autouse=True, scope="session")
def quick_keys() -> Iterator[None]:
    """Keys are made and unlocked hundreds of times: in tests by as few rounds as OpenSSH itself takes at least."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(secret, "ROUNDS", 1)
        yield
