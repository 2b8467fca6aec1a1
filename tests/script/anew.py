"""Write the script of the program anew after its words changed: `python tests/script/anew.py`; then read it aloud."""

from __future__ import annotations

import sys
from pathlib import Path

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE.parent))

from script.walked import RUNS, script  # noqa: E402

if __name__ == "__main__":
    for run in RUNS:
        (HERE / f"{run}.txt").write_text(script(run), encoding="utf-8")
