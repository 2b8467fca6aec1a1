"""The printed report: record.toml as pages, in one PDF/A-3 file that carries the run's files with it byte for byte.

The typesetter reads a fresh folder with its template and its data and nothing else: no fonts of the machine.
"""

from __future__ import annotations

import re
import tempfile
import tomllib
from collections.abc import Mapping, Sequence
from importlib.resources import files
from pathlib import Path
from typing import Literal

from clampbook.ledger import atomic
from clampbook.ledger.refusals import LedgerFault, refusal
from clampbook.record.frozen import read
from clampbook.record.packing import packed
from clampbook.record.pages.pages import pages
from clampbook.record.record import build
from clampbook.record.sealed.folder import lying
from clampbook.record.sealed.names import SEAL_TEXT, is_scan
from clampbook.record.written import FROZEN
from clampbook.run_folder import RECORD, SEAL
from clampbook.signing import seal_text
from clampbook.signing.seal_text import LogHead
from clampbook.work.frozen import RecordFault

REPORT = "report.pdf"
Paper = Literal["a4", "letter"]
_PAPERS: dict[Paper, str] = {"a4": "a4", "letter": "us-letter"}  # as the typesetter calls them
LOOK, FORM = "report.typ", "form.typ"  # templates
_DATA = "data.json"
_WITH_SIGNATURES = re.compile(r"allowed_signers|facts\.sha256|given-up\.toml|signoff-[0-9]+\.txt(\.sig)?")


def make(
    procedure: bytes,
    plan: bytes,
    daybook: bytes,
    record: bytes,
    attachments: Mapping[str, bytes] | None = None,
    paper: Paper = "a4",
    since: Sequence[str] = (),
    log: LogHead | None = None,
) -> bytes:
    """The report as PDF/A-3b. The same input gives the same bytes, whenever and wherever it is made.

    `record` is record.toml of these three files; `attachments` are further files of the run by name, such as
    signatures; `since` is what was found out after the run was closed; `log` is where the book's log stood before the
    run was sealed. Raises RecordFault where the files make no record or the pages cannot be set.
    """
    run = read(procedure, plan, daybook)
    attached = {RECORD: record, **dict(zip(FROZEN, (procedure, plan, daybook), strict=True)), **(attachments or {})}
    try:
        told = tomllib.loads(record.decode())
    except (UnicodeDecodeError, tomllib.TOMLDecodeError, RecursionError) as error:
        raise RecordFault(f"record.toml cannot be read ({error}); make it again from the other files.") from error
    return typeset(pages(run.plan, told, attached, since, log), attached, paper)


def of_folder(folder: Path, paper: Paper = "a4", since: Sequence[str] = (), log: LogHead | None = None) -> bytes:
    """The report of the run in `folder`, from its frozen files and whatever signatures lie beside them.

    record.toml is made anew and not read. Raises RecordFault or LedgerFault with one sentence.
    """
    procedure, plan, daybook = (_bytes(folder / name) for name in FROZEN)
    record = build(procedure, plan, daybook)
    log = log or sealed_under(folder)[0]
    beside = {
        name: data for name, data in lying(folder).files.items() if _WITH_SIGNATURES.fullmatch(name) or is_scan(name)
    }
    return make(procedure, plan, daybook, record, beside, paper, since, log)


def sealed_under(folder: Path) -> tuple[LogHead | None, bool | None]:
    """Tell where the log stood when this folder was sealed, and whether its seal is signed; None and None without a
    seal, so that a report that is printed again says the same."""
    if not (folder / SEAL).exists() or not (folder / SEAL_TEXT).exists():
        return None, None
    said = seal_text.read(_bytes(folder / SEAL_TEXT))
    return (None, None) if said is None else (said.log, said.key is not None)


def write(folder: Path, paper: Paper = "a4", since: Sequence[str] = (), log: LogHead | None = None) -> Path:
    """Put report.pdf beside the record of the run in `folder`, whole or not at all, and return its path.

    Raises RecordFault or LedgerFault with one sentence; the record stands all the same.
    """
    path = folder / REPORT
    atomic.write(path, of_folder(folder, paper, since, log))
    return path


def print_beside(folder: Path, paper: Paper = "a4") -> str:
    """Write the report and say in one sentence where it is, or why there is none; never in the way of a walk's end."""
    try:
        return f"Report: {write(folder, paper)}"
    except (RecordFault, LedgerFault) as fault:
        why = fault.sentence.removesuffix(".")
    except Exception as error:  # whatever it is, the run is over and recorded, and nobody at the bench can mend it
        why = f"unexpected error ({type(error).__name__}: {error})"
    return f"No report: {why}. The record is saved. Try again with: clampbook report {folder.name}"


def typeset(data: bytes, attached: Mapping[str, bytes], paper: Paper = "a4", template: str = LOOK) -> bytes:
    """Pages (as JSON) and files to attach as PDF/A-3b, set in a folder of their own, which is gone afterwards.

    However long it is, its tags tell a screen reader what is a table and what a head.
    """
    import typst

    look = files("clampbook.record").joinpath(template).read_bytes()
    try:
        with tempfile.TemporaryDirectory(prefix="clampbook-") as name:
            folder = Path(name)
            for file, content in {**attached, template: look, _DATA: data}.items():
                (folder / file).write_bytes(content)
            made = typst.compile(
                folder / template,
                root=folder,
                ignore_system_fonts=True,
                format="pdf",
                pdf_standards="a-3b",
                pdf_tags=True,
                sys_inputs={"paper": _PAPERS[paper]},
            )
    except typst.TypstError as error:
        raise RecordFault(f"The pages of the report could not be set: {error.message}.") from error
    except OSError as error:
        raise refusal(Path(tempfile.gettempdir()), error, "be used for the report") from error
    if not isinstance(made, bytes):
        raise RecordFault("The pages of the report could not be set: the typesetter gave no single file.")
    return packed(made)


def _bytes(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError as error:
        raise refusal(path, error, "be read") from error
