"""A process of its own that makes one thing, as the typesetter remembers what it set before. It prints the seconds of
the processor that this took, and the most memory that it held, in KiB, as the system counts it.

`report` or `form` and a run's folder; or `bare` and tables such as 5000x8: what the typesetter needs for so many rows
and columns of plain figures, in the same kind of file.
"""

from __future__ import annotations

import resource
import sys
import tempfile
from datetime import UTC, datetime
from pathlib import Path
from time import process_time

_BARE = """
#set page(paper: "a4", margin: 17mm)
#set text(font: "Libertinus Serif", size: 8.4pt)
"""
_TABLE = "#table(columns: {columns}, stroke: none, ..range({cells}).map(cell => [#cell]))\n"


def main() -> None:
    """Make it."""
    what, *rest = sys.argv[1:]
    took = _bare(rest) if what == "bare" else _report(Path(rest[0])) if what == "report" else _form(Path(rest[0]))
    print(took, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)


def _report(folder: Path) -> float:
    from clampbook.record import report

    begun = process_time()
    names = ("procedure.toml", "plan.json", "daybook.jsonl", "record.toml")
    procedure, plan, daybook, record = ((folder / name).read_bytes() for name in names)
    report.make(procedure, plan, daybook, record)
    return process_time() - begun


def _form(folder: Path) -> float:
    from clampbook.procedure.reader import read
    from clampbook.record import paper_form
    from clampbook.run.planning import plan

    begun = process_time()
    data = (folder / "procedure.toml").read_bytes()
    paper_form.pdf(plan(read(data, "keel.toml"), "keel"), data, made=datetime(2026, 3, 2, 9, tzinfo=UTC))
    return process_time() - begun


def _bare(tables: list[str]) -> float:
    import typst

    begun = process_time()
    sizes = [(int(rows), int(columns)) for rows, _, columns in (each.partition("x") for each in tables)]
    text = _BARE + "".join(_TABLE.format(columns=columns, cells=rows * columns) for rows, columns in sizes)
    with tempfile.TemporaryDirectory() as name:
        path = Path(name) / "bare.typ"
        path.write_text(text, encoding="utf-8")
        typst.compile(path, format="pdf", ignore_system_fonts=True, pdf_standards="a-3b", pdf_tags=True)
    return process_time() - begun


if __name__ == "__main__":
    main()
