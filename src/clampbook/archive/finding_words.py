"""A run that was found, in a few words."""

from __future__ import annotations

from collections.abc import Iterator

from clampbook.archive.entry import BETWEEN
from clampbook.archive.finding import Hit
from clampbook.record.left_open import FROM_PAPER, as_it_ended, in_the_headline
from clampbook.text import counted


def ended(hit: Hit) -> str:
    """Tell when and how it ended, and how it lies on the disk."""
    if hit.fault:
        return f"not readable: {hit.fault}"
    deviations = f", {counted(hit.deviations, 'deviation')}" if hit.deviations else ""
    if hit.known_deviations is None:
        deviations = ", deviations not known"
    late = FROM_PAPER if hit.late else ""
    state = "" if hit.state == hit.outcome else hit.state
    outcome = f"{as_it_ended(hit.outcome, hit.left)}{deviations}{in_the_headline(hit.left)}"
    return " · ".join(each for each in (hit.day, outcome, late, state) if each)


def about(hit: Hit) -> str:
    """Tell what it was, on what, by whom, with what."""
    title = f"{hit.title}, revision {hit.revision}" if hit.revision else hit.title
    several = (hit.people, hit.tools)
    told = (
        title,
        hit.joint,
        hit.equipment,
        *(", ".join(each.split(BETWEEN)) for each in several),
    )
    return " · ".join(each for each in told if each)


def added(hit: Hit) -> str:
    """Its addenda by name, "" where there are none."""
    return f"addendum {', '.join(hit.addenda)}" if hit.addenda else ""


def page(hit: Hit) -> Iterator[str]:
    """The same as lines of a page, every one with its name."""
    yield f"{hit.title}, revision {hit.revision}" if hit.revision else hit.title
    yield ended(hit)
    for name, value in (("Equipment", hit.equipment), ("Joint", hit.joint)):
        if value:
            yield f"{name}: {value}"
    for name, value in (("People", hit.people), ("Tools", hit.tools), ("Parts", hit.lots), ("Due later", hit.due)):
        if value:
            yield f"{name}: {'; '.join(value.split(BETWEEN))}"
