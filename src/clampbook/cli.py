"""The command line: each command parses and calls one function; here are the exit status and the last resort.

0 done and nothing wrong, 1 done and something to look at, 2 could not be done (one sentence on standard error),
130 interrupted. CLAMPBOOK_TRACEBACK=1 shows where an unexpected error came from.
"""

from __future__ import annotations

import contextlib
import os
import sys
from pathlib import Path

import click

from clampbook.commands.by_name import CommandsByName
from clampbook.commands.exit_status import COULD_NOT, INTERRUPTED
from clampbook.commands.options import Unforeseen, book_option, say
from clampbook.commands.renamed import renamed_to
from clampbook.streams import StreamFault, guard
from clampbook.text import as_sentence


@click.group(cls=CommandsByName, invoke_without_command=True, context_settings={"help_option_names": ["-h", "--help"]})
@book_option
@click.option("--alone", is_flag=True, help="Write without a lock, if nobody else has the book open")
@click.version_option(package_name="clampbook", prog_name="clampbook")
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
        result = clampbook.main(arguments, standalone_mode=False)
        sys.stdout.flush()
        return result if isinstance(result, int) else 0
    except KeyboardInterrupt:
        return INTERRUPTED
    except Exception as error:
        return told(error)
    finally:
        with contextlib.suppress(StreamFault, BrokenPipeError):  # told above where it was to be told
            sys.stdout.flush()


def told(error: Exception) -> int:
    """Say in a sentence what ended a command, and give the exit status that goes with it."""
    match error:
        case click.NoSuchOption() if (renamed := renamed_to(error)) is not None:
            return _could_not(renamed)
        case click.ClickException():
            return _could_not(as_sentence(error.format_message() or "This command needs more"))
        case click.Abort():
            return INTERRUPTED
        case StreamFault(sentence=sentence):
            return _could_not(as_sentence(sentence))
        case BrokenPipeError():
            # Nobody reads any more; what the interpreter flushes at its end must not complain either.
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
            return INTERRUPTED
        case Unforeseen():
            return _foreseen(error.error, f" Earlier answers are saved in {error.daybook}.")
        case _:
            return _foreseen(error)


def _foreseen(error: BaseException, where: str = "") -> int:
    """Refusals that carry sentences; they are imported only once something went wrong. `where` is a sentence that says
    where the answers are, for what carries none of its own."""
    from clampbook.faults import Faulty, show
    from clampbook.ledger.refusals import LedgerFault, refusal
    from clampbook.signing.wire import KeyFault
    from clampbook.text import TextFault
    from clampbook.work.frozen import RecordFault

    match error:
        case Faulty(faults=faults):
            return _could_not(*(show(fault) for fault in faults))
        case LedgerFault(sentence=sentence) | TextFault(sentence=sentence) | KeyFault(sentence=sentence):
            return _could_not(as_sentence(sentence))
        case RecordFault():
            return _could_not(as_sentence(str(error)))
        case OSError():
            refused = refusal(Path(error.filename or os.curdir), error, "be used")
            return _could_not(f"{as_sentence(refused.sentence)}{where}")
        case _:
            return _last_resort(error, where)


def _last_resort(error: BaseException, where: str) -> int:
    if os.environ.get("CLAMPBOOK_TRACEBACK"):
        import traceback

        traceback.print_exception(error)
    return _could_not(f"Unexpected error ({type(error).__name__}: {error}).{where}")


def _could_not(*sentences: str) -> int:
    say(*sentences)
    return COULD_NOT


if __name__ == "__main__":
    main()
