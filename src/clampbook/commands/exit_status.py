"""Exit statuses of the commands."""

from __future__ import annotations

FINE = 0  # done, and nothing wrong
LOOK_AT_IT = 1  # done, and something to look at
COULD_NOT = 2  # could not be done; a sentence on standard error says why
INTERRUPTED = 130  # stopped by Ctrl-C
