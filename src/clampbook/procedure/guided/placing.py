"""The picture of a joint from how many fasteners there are and how they stand: the rows of a layout, as written."""

from __future__ import annotations

from clampbook.procedure.guided.answers import Answers

CORNERS = 4  # a rectangle counts each of them in two of its sides


def rows(answers: Answers) -> tuple[str, ...] | None:
    """The rows as a file draws them; None where the joint is a circle, or where nothing says how they stand."""
    count = answers.how_many
    match answers.placed:
        case "drawn":
            return answers.drawn
        case "row" if count:
            return (" ".join(answers.labels),)
        case "two rows" if count > 1:
            return " ".join(answers.labels[::2]), " ".join(answers.labels[1::2])
        case "rectangle" if count and answers.across is not None:
            return _around(count, int(answers.across))
        case _:
            return None


def wrong(answers: Answers) -> str | None:
    """Say what does not go together in the picture; None where all of it does."""
    if answers.placed == "drawn" and answers.drawn is not None and answers.count is not None:
        drawn = len(answers.labels)
        if drawn != answers.how_many:
            return f"You drew {drawn} positions of {answers.how_many}. Draw each once, or go back to the number."
    if answers.placed == "two rows" and answers.how_many < 2:
        return "Two rows need 2 fasteners or more. Choose another picture."
    if answers.placed == "rectangle":
        return _no_rectangle(answers.how_many, answers.across)
    return None


def _no_rectangle(count: int, across: str | None) -> str | None:
    if count < CORNERS or count % 2:
        return "A rectangle needs an even number, 4 or more. Choose another picture, or draw it."
    most = count // 2
    if across is not None and not 2 <= int(across) <= most:
        return f"Of {count} around a rectangle, 2 to {most} stand along the top. Type how many."
    return None


def _around(count: int, across: int) -> tuple[str, ...]:
    """Numbered clockwise from the upper left corner; what lies inside is empty."""
    down = (count - 2 * across) // 2  # of each side, without its corners
    label = iter(map(str, range(1, count + 1)))
    top = [next(label) for _ in range(across)]
    right = [next(label) for _ in range(down)]
    bottom = [next(label) for _ in range(across)][::-1]
    left = [next(label) for _ in range(down)][::-1]
    inside = ["."] * (across - 2)
    sides = (" ".join([west, *inside, east]) for west, east in zip(left, right, strict=True))
    return " ".join(top), *sides, " ".join(bottom)
