"""The command line: each command parses and calls one function; here are the exit status and the last resort.

0 done and nothing wrong, 1 done and something to look at, 2 could not be done (one sentence on standard error, and with
--json one object on standard output), 130 interrupted. CLAMPBOOK_TRACEBACK=1 shows where an unexpected error came from.
"""

from __future__ import annotations

import contextlib
import os
import sys
from pathlib import Path

import click

from clampbook import __version__
from clampbook.commands.by_name import CommandsByName
from clampbook.commands.exit_status import COULD_NOT, INTERRUPTED
from clampbook.commands.options import book_option
from clampbook.commands.refused import asks_for_json, refused, tell
from clampbook.streams import StreamFault, guard


@click.group(cls=CommandsByName, invoke_without_command=True, context_settings={"help_option_names": ["-h", "--help"]})
@book_option
@click.option("--alone", is_flag=True, help="Write without a lock, if nobody else has the book open")
@click.version_option(__version__, prog_name="clampbook")
@click.pass_context
def clampbook(context: click.Context, folder: Path | None, alone: bool) -> int:
    """Tighten joints step by step, on record."""
    del alone  # read by whatever opens the book
    if context.invoked_subcommand is not None:
        return 0
    from clampbook.commands.bench import bench

    return bench(folder)


def main(arguments: list[str] | None = None) -> None:
    """Run a command and leave with its exit status; whatever happens, in sentences."""
    guard()
    sys.exit(status(arguments))


def status(arguments: list[str] | None = None) -> int:
    """The exit status of a command, after what went wrong was said."""
    try:
        result = clampbook.main(arguments, prog_name="clampbook", standalone_mode=False)
        sys.stdout.flush()
        return result if isinstance(result, int) else 0
    except KeyboardInterrupt:
        return INTERRUPTED
    except Exception as error:
        return told(error, as_json=asks_for_json(sys.argv[1:] if arguments is None else arguments))
    finally:
        with contextlib.suppress(StreamFault, BrokenPipeError):  # told above where it was to be told
            sys.stdout.flush()


def told(error: Exception, *, as_json: bool = False) -> int:
    """Say in a sentence what ended a command, and give the exit status that goes with it."""
    match error:
        case click.Abort():
            return INTERRUPTED
        case BrokenPipeError() if not isinstance(error, StreamFault):
            # Nobody reads any more; what the interpreter flushes at its end must not complain either.
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
            return INTERRUPTED
        case _:
            tell(refused(error), as_json=as_json)
            return COULD_NOT


if __name__ == "__main__":
    main()
