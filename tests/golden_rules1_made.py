"""A book for tests/golden_book: runs by the first rules, sealed by the version that froze format 2.

    PYTHONPATH=tests:tests/run python tests/golden_rules1_made.py tests/golden_book/rules1

It was run once with that version's program (commit 6eb6ca74), never again: a later one asks more, by later rules.
Typed in late: rows out of order, bad, blank and over, ends that are blank, a calibration that was over at two stages, a
tool changed in the middle of a stage, a wait cut short. Walked: the same tool, a wait gone on with early, a concession.
"""

from __future__ import annotations

import sys
from pathlib import Path

from covers import SIGNED_OFF, cover
from golden_book_made import left_alone
from line_by_line import printed
from museum import own
from sealing import TOOLS, shop

OVER = 'calibrated_on = "2025-01-31"\ncalibration_due = "2026-01-31"\n'
W6 = TOOLS.replace("w5", "w6").replace("W5", "W6")
TWICE = """
[[stage]]
do = "tighten"
to = "20 N·m"
within = "±2 N·m"

[[stage]]
do = "wait"
for = "10 min"

[[stage]]
do = "tighten"
to = "30 N·m"
within = "±2 N·m"
"""
CONCEDED = ("35", "5", "the sheet allows it", "2")
BLANK_ENDS = [
    *("1", "8:20", "1", "W5", "1", "20.1", "@8:30", "20.2", "@8:25", "1", "x 25", "1", "20.3", "-", "8:40", "8:50"),
    *("9:00", "1", "W5", "30.1", "@9:10", "30.2", "@9:05", "1", *CONCEDED, "-", "9:20"),
    *("1", "1", "9:20", "1", "1"),
]
CHANGED_OVER = [
    *("1", "-", "1", "W5", "1", "20.1", "@8:30", "20.2", "@8:25", "1", "-", *CONCEDED, "8:40", "8:40", "8:44"),
    *("-", "W6", "1", "@8:46", "30.1", "*8", "W5", "30.1", "30.2", "@8:50", "30", "9:00"),
    *("1", "1", "1", "9:00", "1", "1"),
]
WALKED = [
    *("2", "1", "1", "20.1", "20.0", "19.9", "20.2", "+", "2", "The tide turns"),
    *("30.1", "30.0", "35", "4", "the sheet allows it", "Maud", "30.0", "+", "Ines", "1"),
]


def make(root: Path) -> None:
    """The book, and its three runs from the first line to the seal."""
    shop(root, keys=False)
    own(root, "cover", cover(TWICE, SIGNED_OFF))
    overdue = TOOLS.replace("range =", f"{OVER}range =")
    (root / "tools.toml").write_text(f"{overdue}\n{W6}", encoding="utf-8")
    for day, began, lines in ((10, "06", BLANK_ENDS), (11, "07", CHANGED_OVER), (12, None, WALKED)):
        late = () if began is None else ("--late", "--began", f"2026-03-{began} 8:10")
        clock = f"2026-03-{day}T12:00:00Z+3s"
        told = printed(clock, root, "walk", "cover", "--plain", "--as", "Ines", *late, lines=lines)
        if "The run is sealed" not in told:
            raise SystemExit(f"the run of {day} March was not sealed:\n{told[-1500:]}")


if __name__ == "__main__":
    make(Path(sys.argv[1]))
    left_alone(Path(sys.argv[1]))
