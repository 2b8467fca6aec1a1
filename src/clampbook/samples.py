"""Where the sample procedures are: in the installed package, or beside the source in a checkout."""

from __future__ import annotations

from pathlib import Path


def samples() -> tuple[Path, ...]:
    """The files of all sample procedures by name."""
    package = Path(__file__).parent
    folder = package / "samples"
    if not folder.is_dir():
        folder = package.parent.parent / "procedures"
    return tuple(sorted(folder.glob("*.toml")))
