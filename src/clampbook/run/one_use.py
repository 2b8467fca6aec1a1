"""Fasteners that are used once: the groups of which it is asked, before the work, whether all of them are new."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from clampbook.procedure.model import Align, Group, Tighten, Turn
from clampbook.run.fold.counts import ONE_USE, counted_new
from clampbook.run.plan import Plan

_WORD = re.compile(r"[^\W\d_]+")


def asked_new(plan: Plan) -> tuple[str, ...]:
    """Names of the groups that are asked about, as the procedure has them: what they hold is fitted in this run, and
    neither a count of new ones nor a line of the procedure asks for it already."""
    if plan.follow_up is not None:
        return ()
    fitted = {stage.group for stage in plan.stages if isinstance(stage, Tighten | Turn | Align)}
    once = {name: groups for name, groups in plan.alike.items() if groups[0].fastener == ONE_USE}
    counted = {group.name for part in plan.parts for group in counted_new(plan, part)}
    return tuple(
        name
        for name, groups in once.items()
        if not fitted.isdisjoint(group.name for group in groups)
        and groups[0].name not in counted
        and not any(_asks(plan, name, groups[0], len(once) == 1))
    )


def _asks(plan: Plan, name: str, group: Group, alone: bool) -> Iterator[bool]:
    """Tell of each line that nobody goes past without a yes if it asks for new ones of this group: what is prepared for
    it names one of them, a question the group; that of the only such group need not."""
    own = _words(name)[-1:]
    for line in group.prepare:
        yield _names_new(line, own)
    for ask in plan.asks:
        if ask.when == "start" and ask.answer == "yes" and ask.required:
            yield _names_new(ask.name, own if alone else _words(name))


def _names_new(line: str, named: Sequence[str]) -> bool:
    said = _words(line)
    return "new" in said and all(each in said for each in named)


def _words(text: str) -> list[str]:
    """The words of a text, in the singular and in small letters."""
    return [word.removesuffix("s") for word in _WORD.findall(text.casefold())]
