"""What a row of the table is: so many tries, and what failed, each failure with the words that bring it back."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field


@dataclass
class Found:
    """What came of the tries. `seen` counts what was met on the way, such as screens; it is told, never judged."""

    tries: int = 0
    failures: list[str] = field(default_factory=list)
    seen: Counter[str] = field(default_factory=Counter)
