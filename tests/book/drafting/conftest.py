"""What every draft begins with: a folder of its own for copies, so that none is left over from elsewhere."""

from __future__ import annotations

from pathlib import Path

import pytest

from at_drafts import COVER


@pytest.fixture(autouse=True)
def state(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The user's folder for state."""
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    return tmp_path / "state"


@pytest.fixture
def cover(tmp_path: Path) -> Path:
    """A file with a procedure of four bolts."""
    path = tmp_path / "cover.toml"
    path.write_text(COVER, encoding="utf-8")
    return path
