"""Stages as the review looks at them, beside their places in the file, and questions about them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

from clampbook.procedure.model import FollowUp, Group, Procedure, Stage
from clampbook.procedure.slips import KeyPath
from clampbook.review.codes import Code


@dataclass(frozen=True, slots=True)
class Raised:
    """A query at a key path, before its line is looked up; fields as in `faults.Query`.

    `or_key` is another key of the same table that may say the same, such as `order` for `sequence`.
    """

    at: KeyPath
    code: Code
    text: str
    found: str = ""
    allowed: str = ""
    hint: str = ""
    or_key: str | None = None

    @property
    def places(self) -> tuple[KeyPath, ...]:
        """The key paths that it may be about."""
        return (self.at,) if self.or_key is None else (self.at, (*self.at[:-1], self.or_key))


@dataclass(frozen=True, slots=True)
class Placed:
    """A stage and where it stands in the file."""

    at: KeyPath
    stage: Stage


@dataclass(frozen=True)
class Look:
    """A procedure with the places of its stages; those of follow-ups stand apart."""

    procedure: Procedure

    @cached_property
    def stages(self) -> tuple[Placed, ...]:
        """The procedure's own stages in the order of work."""
        return tuple(placed(self.procedure.stages, ("stage",)))

    @cached_property
    def follow_ups(self) -> tuple[tuple[KeyPath, FollowUp, tuple[Placed, ...]], ...]:
        """Each follow-up with its place and its stages."""
        return tuple(
            (("follow_up", index), each, tuple(placed(each.stages, ("follow_up", index, "stage"))))
            for index, each in enumerate(self.procedure.follow_ups)
        )

    @cached_property
    def _by_group(self) -> dict[str, tuple[Placed, ...]]:
        found: dict[str, list[Placed]] = {}
        for each in self.stages:
            if each.stage.group is not None:
                found.setdefault(each.stage.group, []).append(each)
        return {name: tuple(stages) for name, stages in found.items()}

    def of(self, group: Group) -> tuple[Placed, ...]:
        """The stages that work on a group, in their order."""
        return self._by_group.get(group.name, ())

    @property
    def groups(self) -> Iterable[tuple[KeyPath, Group]]:
        """Each group with its place."""
        return ((("group", index), group) for index, group in enumerate(self.procedure.groups))


def placed(stages: Sequence[Stage], at: KeyPath) -> Iterator[Placed]:
    """Stages with their places: the steps of one `for_each` stand below a single [[stage]]."""
    index, step, block = -1, 0, None
    for stage in stages:
        if stage.block is None or stage.block != block:
            index, step, block = index + 1, 0, stage.block
        yield Placed((*at, index) if stage.block is None else (*at, index, "steps", step), stage)
        step += 1
