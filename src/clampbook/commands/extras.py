"""Parts of the program that need a library of their own, which is installed only where somebody wants them."""

from __future__ import annotations

from importlib.util import find_spec

import click

_OF = {"icalendar": "calendar", "segno": "labels"}  # libraries, and how the part of the program is called


def needs(library: str) -> None:
    """Go on where a library is installed. Raises ClickException with the command that installs it."""
    if find_spec(library) is None:
        told = f"This needs {library}, which is not installed. Type: pip install 'clampbook[{_OF[library]}]'"
        raise click.ClickException(told)
