"""The notice beside a question, of a walk or of a check: what was said last."""

from __future__ import annotations

from typing import Generic, Literal, TypeVar

from msgspec import Struct

E = TypeVar("E")


class Notice(Struct, Generic[E], frozen=True):
    """It stays until the next answer. `event` is the line that was stored, if one was."""

    kind: Literal["stored", "refused", "unusual", "told"]
    text: str
    event: E | None = None

    @property
    def refused(self) -> bool:
        """True where an answer was not taken, or not yet."""
        return self.kind in ("refused", "unusual")


def none_if_over(notice: Notice[E] | None) -> Notice[E] | None:
    """Give what still holds once a question was left: what was refused or only told is over."""
    return None if notice is not None and notice.kind in ("refused", "told") else notice
