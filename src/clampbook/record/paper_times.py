"""The times that stand on a paper form beside what was done: of a row its own, or the beginning of its round."""

from __future__ import annotations

from collections.abc import Mapping

from clampbook.record.frozen import Frozen
from clampbook.record.moments import at_its_place, local
from clampbook.record.tables import Row
from clampbook.run import events as e


def times_on_form(run: Frozen) -> Mapping[int, Row]:
    """For each line of work what its row says of its time, where that is not the time of the line: `time_on_form` is
    its own, `on_form_since` that of its round, where a row between them has one of its own."""
    found: dict[int, Row] = {}
    since: str | None = None
    own: str | None = None
    for event in run.events if run.plan.late else ():
        if isinstance(event, e.PaperTime):
            since, own = _told(event, since, own)
        elif isinstance(event, e.Waited | e.WaitBegun):  # its own time is that of its line
            own = None
        elif isinstance(event, e.Corrected):
            found[event.seq] = found.get(event.of, {})
        elif isinstance(event, e.LeftBlank) and event.step is None:  # of no round: an item, or a role
            own = None
        elif isinstance(event, e.LeftBlank | e.OfTheWork):
            found[event.seq] = _of_its_row(event, since, own)
            own = None
    return found


def _told(event: e.PaperTime, since: str | None, own: str | None) -> tuple[str | None, str | None]:
    """The beginning of the round, and the time beside the row that comes next."""
    if event.stands is not None:
        return since, at_its_place(event, event.stands)
    if event.step is not None:
        return (since, own) if event.until else (local(event), None)
    return (since, local(event)) if event.done_by_person is None else (since, own)  # initials alone have no time


def _of_its_row(event: e.Event, since: str | None, own: str | None) -> Row:
    if own is not None:
        return {"time_on_form": own}
    return {"on_form_since": since} if since is not None and since != local(event) else {}
