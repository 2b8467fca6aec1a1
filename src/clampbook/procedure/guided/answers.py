"""Answers about a joint, as somebody typed them: all that a new procedure is written from. None: left out."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import Literal

Placed = Literal["circle", "row", "two rows", "rectangle", "drawn"]
Ordered = Literal["cross", "spiral", "circle", "numbered", "written out"]
Rechecked = Literal["once", "until none moves"]
Used = Literal["new every time", "use again if measured", "use again"]
Looker = Literal["who works", "another person"]
Later = Literal["recheck", "look", "reminder"]
Answer = str | tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Answers:
    """One field a question, in the order of asking. What belongs to an answer that is not there is None as well."""

    title: str | None = None
    fasteners: str | None = None
    count: str | None = None
    placed: Placed | None = None
    across: str | None = None  # of a rectangle, with the corners
    drawn: tuple[str, ...] | None = None  # rows of labels, a dot where nothing is
    thread: str | None = None
    property_class: str | None = None
    lubrication: str | None = None
    nut_factor: tuple[str, ...] | None = None
    target: str | None = None
    rounds: tuple[str, ...] | None = None
    within: str | None = None
    angles: tuple[str, ...] | None = None
    angle_within: str | None = None
    clamped: tuple[str, ...] | None = None
    fastener: Used | None = None
    order: Ordered | None = None
    written_order: str | None = None
    wait: str | None = None
    recheck: Rechecked | None = None
    look: str | None = None
    looker: Looker | None = None
    after: str | None = None
    or_use: str | None = None
    later: Later | None = None
    source: str | None = None
    revision: str | None = None

    def of(self, name: str) -> Answer | None:
        """The answer in this field."""
        found: Answer | None = getattr(self, name)
        return found

    def giving(self, name: str, answer: Answer | None) -> Answers:
        """The same with another answer in this field."""
        return replace(self, **{name: answer})  # type: ignore[arg-type]

    @property
    def torques(self) -> tuple[str, ...]:
        """The torque of each round, as the file says it: without rounds, one round to the target."""
        if self.rounds is not None:
            return self.rounds
        return ("100 %",) if self.target is not None else ()

    @property
    def last_torque(self) -> str | None:
        """The torque at which the joint is left, where no turn follows it."""
        return self.torques[-1] if self.torques else None

    @property
    def labels(self) -> tuple[str, ...]:
        """The positions as the picture has them; none where nothing says how many there are."""
        if self.placed == "drawn" and self.drawn is not None:
            return tuple(cell for row in self.drawn for cell in row.split() if cell != ".")
        return tuple(str(number) for number in range(1, self.how_many + 1))

    @property
    def how_many(self) -> int:
        """The number of fasteners; 0 where it was left out."""
        return int(self.count) if self.count is not None else 0


NAMES = tuple(field.name for field in fields(Answers))
NOTHING = Answers()
"""Before the first question."""
