"""The beginning of a paper form that is typed in: when it was filled in, at this place."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

import click

from clampbook.commands.asked import Asked
from clampbook.commands.options import now
from clampbook.run.on_form.times import beginning_of

if TYPE_CHECKING:
    from clampbook.plain.beginning import Beginning


def began(asked: Asked, beginning: Beginning) -> datetime:
    """The day and time at which the form begins, as given with --began, or asked for. Raises UsageError."""
    if asked.began is None:
        return beginning.of_the_form(now())
    found = beginning_of(asked.began, now())
    if isinstance(found, str):
        raise click.UsageError(found)
    return found
