"""Write what is told of every example anew after the words changed: `python tests/errors_anew.py`; then read it all."""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

from error_examples import TOLD, examples, told

if __name__ == "__main__":
    for example in examples():
        (example / TOLD).write_text(told(example), encoding="utf-8")
