"""Folders that only their owner reads: every one that is made on the way, not the last alone."""

from __future__ import annotations

from pathlib import Path

_OWNER = 0o700


def make_folder(path: Path, *, new: bool = False) -> None:
    """Make a folder with all that are missing above it. `new`: it must not be there yet. Raises OSError."""
    missing = [each for each in (path, *path.parents) if not each.exists()]
    for folder in reversed(missing):
        folder.mkdir(mode=_OWNER, exist_ok=not new or folder != path)
    if new and not missing:
        raise FileExistsError(17, "it is there already", str(path))
