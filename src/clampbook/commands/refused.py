"""The end of a command that could not do its work: in sentences for people, and as one object where --json was said."""

from __future__ import annotations

import contextlib
import os
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import click

from clampbook.commands.options import Unforeseen, say
from clampbook.commands.renamed import renamed_to
from clampbook.streams import StreamFault, json_text
from clampbook.text import as_sentence

if TYPE_CHECKING:
    from clampbook.faults import Fault, Query

JSON = "--json"


@dataclass(frozen=True, slots=True)
class Refused:
    """The reason why a command could not do its work. `code` never changes its meaning, `where` is a file, with its
    line where it is known, a folder or a command. `errors` are those of a file, `queries` those not answered."""

    code: str
    sentences: tuple[str, ...]
    where: str | None = None
    errors: tuple[Fault, ...] = ()
    queries: tuple[Query, ...] = ()


def asks_for_json(arguments: list[str]) -> bool:
    """Tell whether a command line asks for one JSON object, also one that cannot be read otherwise."""
    options = arguments[: arguments.index("--")] if "--" in arguments else arguments
    return JSON in options


def refused(error: Exception) -> Refused:
    """Give what there is to say of what ended a command. Whatever it is, it becomes a sentence."""
    match error:
        case click.NoSuchOption() if (renamed := renamed_to(error)) is not None:
            return Refused("usage", (renamed,), _command(error))
        case click.UsageError():
            return Refused(
                "usage", (as_sentence(error.format_message() or "This command needs more"),), _command(error)
            )
        case click.ClickException():
            return Refused("usage", (as_sentence(error.format_message()),))
        case StreamFault(sentence=sentence):
            return Refused("stream", (as_sentence(sentence),))
        case Unforeseen():
            return _foreseen(error.error, f" Earlier answers are saved in {error.daybook}.")
        case _:
            return _foreseen(error)


def tell(what: Refused, *, as_json: bool) -> None:
    """Say it on standard error, and with --json print it as one object too, alone in its line."""
    say(*what.sentences)
    if as_json:
        with contextlib.suppress(StreamFault, BrokenPipeError):  # the sentence was said
            sys.stdout.write(json_text({"error": as_data(what)}))
            sys.stdout.flush()


def as_data(what: Refused) -> dict[str, object]:
    """The same for `--json`; errors and queries as `review` has them."""
    from clampbook.faults import as_data as of_one

    told: dict[str, object] = {"code": what.code, "where": what.where, "text": " ".join(what.sentences)}
    told["errors"] = [of_one(each) for each in what.errors]
    return told | ({"queries": [of_one(each) for each in what.queries]} if what.queries else {})


def _command(error: click.UsageError) -> str | None:
    return None if error.ctx is None else error.ctx.command_path


def _foreseen(error: BaseException, answers: str = "") -> Refused:
    """Refusals that carry sentences; they are imported only once something went wrong. `answers` is a sentence that
    says where the answers are, for what carries none of its own."""
    from clampbook.book.book import NoBook
    from clampbook.faults import Faulty, show
    from clampbook.ledger.refusals import LedgerFault, LedgerFull, LockHeld, refusal, shown
    from clampbook.signing.wire import KeyFault
    from clampbook.text import TextFault
    from clampbook.work.frozen import RecordFault

    match error:
        case Faulty(faults=faults):
            return Refused(faults[0].code, tuple(map(show, faults)), _place(faults[0]), faults)
        case NoBook(sentence=sentence, folder=folder):
            return Refused("no_book", (as_sentence(sentence),), str(folder))
        case LockHeld(sentence=sentence):
            return Refused("open_elsewhere", (as_sentence(sentence),))
        case LedgerFull(sentence=sentence):
            return Refused("disk_full", (as_sentence(sentence),))
        case LedgerFault(sentence=sentence):
            return Refused("refused", (as_sentence(sentence),))
        case TextFault(sentence=sentence):
            return Refused("text", (as_sentence(sentence),))
        case KeyFault(sentence=sentence):
            return Refused("key", (as_sentence(sentence),))
        case RecordFault():
            return Refused("record", (as_sentence(str(error)),))
        case OSError():
            where = str(error.filename) if error.filename else None
            sentence = refusal(Path(where or os.curdir), error, "be used").sentence
            if where is None:  # what was read or written was open already
                sentence = sentence.replace(shown(Path(os.curdir)), "A file", 1)
            return Refused("disk", (f"{as_sentence(sentence)}{answers}",), where)
        case _:
            return _last_resort(error, answers)


def _place(fault: Fault) -> str:
    return fault.path if fault.line is None else f"{fault.path}:{fault.line}"


def _last_resort(error: BaseException, answers: str) -> Refused:
    if os.environ.get("CLAMPBOOK_TRACEBACK"):
        import traceback

        traceback.print_exception(error)
    return Refused("unexpected", (f"Unexpected error ({type(error).__name__}: {error}).{answers}",))
