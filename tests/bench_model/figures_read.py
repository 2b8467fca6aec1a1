"""Reading the large figures off a screen, as an eye does: a shape that was seen for a digit stands for that digit.

No table of shapes is needed: the same shape must always stand for the same digit, and two digits never share one.
"""

BLOCKS = set("█▄▀▌▐▛▜▙▟▖▗▘▝")


def shapes(lines: list[str]) -> list[tuple[str, ...]]:
    """The shapes of the first band of large figures, from left to right."""
    rows = [number for number, line in enumerate(lines) if len(BLOCKS & set(line)) and _solid(line) > 2]
    if not rows:
        return []
    first = rows[0]
    band = [lines[number] for number in range(first, min(first + 7, len(lines))) if _solid(lines[number]) > 0]
    width = max(len(line) for line in band)
    padded = [line.ljust(width) for line in band]
    found: list[tuple[str, ...]] = []
    start: int | None = None
    for column in range(width + 1):
        inked = column < width and any(line[column] in BLOCKS for line in padded)
        if inked and start is None:
            start = column
        elif not inked and start is not None:
            found.append(tuple("".join(c if c in BLOCKS else " " for c in line[start:column]) for line in padded))
            start = None
    return found


def _solid(line: str) -> int:
    return sum(char in BLOCKS for char in line)


class Eye:
    """Learns digits by what they must be, and notices a contradiction."""

    def __init__(self) -> None:
        self.known: dict[tuple[str, ...], str] = {}

    def reads(self, lines: list[str], expected: str) -> str | None:
        """None where the first figures can be the expected number; else what they look like."""
        seen = shapes(lines)[: len(expected)]
        if len(seen) < len(expected):
            return "".join(self.known.get(shape, "?") for shape in seen) or "no large figures"
        for shape, char in zip(seen, expected, strict=True):
            if self.known.setdefault(shape, char) != char:
                return "".join(self.known.get(one, "?") for one in seen)
        return None
