"""Three small books of one harbour, each with checks and runs whose figures are easy to work out by hand."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple


class Pull(NamedTuple):
    """A reading: which bolt, at what time of the day, how much in N·m, and as which attempt."""

    bolt: str
    at: str
    torque: str
    attempt: int = 1
    standing: str = "counts"


def three_books(folder: Path) -> list[Path]:
    """The quay has W5 first, lends it to the slip, and both hand it on to the dock."""
    quay, slip, dock = (_book(folder / name, f"{name}0001") for name in ("quay", "slip", "dock"))
    _check(quay, "20260110-t1-aaaaaaaa", "HM-0300", "HM-0201", ("0.4", "0.6"))
    _check(slip, "20260201-w5-aaaaaaaa", "HM-0118", "HM-0300", ("0.8", "1.2"))
    _check(dock, "20260501-w5-aaaaaaaa", "HM-0118", "HM-0999", ("2.4", "2.6"))
    _check(dock, "20260105-t9-aaaaaaaa", "HM-0400", "HM-0999", ("0.1", "0.3"))
    _run(
        quay,
        "20260120-flange-aaaaaaaa",
        "A",
        "09:00:00",
        (Pull("1", "09:00:20", "20"), Pull("2", "09:00:50", "21")),
        "L1",
    )
    over = Pull("1", "10:00:30", "24", standing="earlier attempt")
    again = Pull("1", "10:01:30", "20", attempt=2)
    rest = Pull("2", "10:02:00", "20.2"), Pull("3", "10:22:00", "19.8"), Pull("4", "10:22:40", "20")
    _run(slip, "20260210-flange-aaaaaaaa", "A", "10:00:00", (over, again, *rest), "L2", departed=("over", "over"))
    three = Pull("1", "08:00:10", "20.4"), Pull("2", "08:00:20", "20.4"), Pull("3", "08:00:30", "20.4")
    _run(dock, "20260310-flange-aaaaaaaa", "B", "08:00:00", three, "L1")
    late = (Pull("1", "12:00:30", "20"),)
    _run(dock, "20260601-flange-aaaaaaaa", "B", "12:00:00", late, None, departed=("not on the form",), paper=True)
    return [quay, slip, dock]


def _book(folder: Path, id: str) -> Path:
    folder.mkdir(parents=True)
    (folder / "book.toml").write_text(f'format = 1\nid = "{id}"\nname = "The {folder.name}"\n', encoding="utf-8")
    return folder


def _write(book: Path, kind: str, name: str, lines: Sequence[str]) -> None:
    folder = book / kind / name
    folder.mkdir(parents=True)
    (folder / "record.toml").write_text("\n".join(lines) + "\n", encoding="utf-8")


def _day(name: str) -> str:
    return f"{name[:4]}-{name[4:6]}-{name[6:8]}"


def _check(book: Path, name: str, tool: str, reference: str, off: Sequence[str]) -> None:
    lines = [
        "record = 2",
        f'check = "{name}"',
        f'closed_at = "{_day(name)}T12:00:00.000+00:00"',
        'unit = "N·m"',
        f'[tool]\nid = "t"\nserial = "{tool}"',
        f'[reference]\nid = "r"\nserial = "{reference}"',
    ]
    readings = [("counts", each) for each in off] + [("void", "9")]
    for row, (standing, each) in enumerate(readings, start=1):
        lines.append(
            f'[[reading]]\nrow = {row}\nphase = "as found"\nstanding = "{standing}"\ndeviation_percent = "{each}"'
        )
    _write(book, "checks", name, lines)


def _run(
    book: Path,
    name: str,
    revision: str,
    began: str,
    pulls: Sequence[Pull],
    lot: str | None,
    *,
    departed: Sequence[str] = (),
    paper: bool = False,
) -> None:
    day = _day(name)
    lines = [
        f'record = 2\ntitle = "Flange"\nrevision = "{revision}"\nrun = "{name}"\ntrial = false',
        *(("from_paper = true",) if paper else ()),
        f'closed_at = "{day}T18:00:00.000+00:00"',
        '[[tool]]\ntool = "w5"\nserial = "HM-0118"',
        *(() if lot is None else (f'[[part]]\nline = 2\npart = "Oil"\nrecorded = "lot"\nwhat = "{lot}"',)),
        '[[group]]\ngroup = "Flange bolts"\nlubrication = "oil"',
        '[[group.stage]]\nstage = 1\nround = 1\nwhat = "pull"\ntarget = "20"\nunit = "N·m"',
        *(
            f'[[position]]\nposition = "{bolt}"\ngroup = "Flange bolts"'
            for bolt in dict.fromkeys(each.bolt for each in pulls)
        ),
        f'[[inspection]]\nline = 3\nstage = 1\nround = 1\nanswer = "yes"\nat = "{day}T{began}.000+00:00"',
    ]
    for line, pull in enumerate(pulls, start=4):
        lines.append(
            f'[[reading]]\nline = {line}\nstage = 1\nround = 1\nposition = "{pull.bolt}"\nattempt = {pull.attempt}\n'
            f'kind = "pull"\noutcome = "within"\nstanding = "{pull.standing}"\nvalue = "{pull.torque}"\nunit = "N·m"\n'
            f'at_fastener = "{pull.torque}"\njudged_unit = "N·m"\ntool = "w5"\nat = "{day}T{pull.at}.000+00:00"'
        )
    lines += [f'[[deviation]]\nline = 4\n[[deviation.departed]]\nkind = "{kind}"' for kind in departed]
    _write(book, "runs", name, lines)
