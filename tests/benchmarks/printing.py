"""The report of a run against the same number of bare pages: what reading, telling and drawing it cost on top."""

from __future__ import annotations

import sys
import tempfile
from io import BytesIO
from pathlib import Path
from time import process_time

import pypdf
import typst

from clampbook.record import report
from clampbook.record.record import build
from walks import bad_day

GOAL = 2.0
_TIMES = 15
_BARE = """
#set page(paper: "a4", margin: 20mm, footer: context counter(page).display())
#set text(font: "Libertinus Serif", size: 8.4pt)
#set par(leading: 0.5em, spacing: 0.5em)
#for page in range(PAGES) {
  for line in range(70) [
    Line #line of page #page of START: a bare page is full of plain words, line below line,
    each as wide as this one and the next. \\
  ]
  pagebreak(weak: true)
}
"""


def ratio() -> tuple[float, float, float]:
    """Seconds that the report of the 54-step head takes, seconds for as many bare pages, and ours by theirs.

    Taken in turns, each on input of its own, because the typesetter remembers what it set before. They are seconds of
    the processor, all threads together: on an idle machine those are the seconds on the clock, and on a busy one they
    do not count what others did meanwhile, which falls on the longer of the two more often.
    """
    files = [bad_day(f"Day {number}.") for number in range(_TIMES + 1)]
    records = [build(*each) for each in files]
    pages = len(pypdf.PdfReader(BytesIO(report.make(*files[0], records[0]))).pages)
    assert pages == len(pypdf.PdfReader(BytesIO(_bare(pages, 0))).pages)
    ours, theirs = [], []
    for number in range(1, _TIMES + 1):
        begun = process_time()
        report.make(*files[number], records[number])
        between = process_time()
        _bare(pages, number)
        ours.append(between - begun)
        theirs.append(process_time() - between)
    return min(ours), min(theirs), min(ours) / min(theirs)


def _bare(pages: int, start: int) -> bytes:
    """As many pages of plain text, made in the same way."""
    with tempfile.TemporaryDirectory() as name:
        path = Path(name) / "bare.typ"
        path.write_text(_BARE.replace("PAGES", str(pages)).replace("START", str(start)), encoding="utf-8")
        made = typst.compile(path, ignore_system_fonts=True, pdf_standards="a-3b")
    assert isinstance(made, bytes)
    return made


if __name__ == "__main__":
    ours, theirs, ratio_ = ratio()
    print(f"report of a 54-step run: {ours:.3f} s; bare pages: {theirs:.3f} s; {ratio_:.2f} ×, goal ≤ {GOAL} ×")
    sys.exit(ratio_ > GOAL)
