"""The facts that the verdicts of a check rest on, as its record holds them, and the sentences they are told in."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from clampbook.check.plan import CheckPlan
from clampbook.check.planning import points_of, readings_of
from clampbook.tools.model import Tool
from clampbook.tools.permitted import WRITTEN, allowed_by
from clampbook.tools.state import due_on
from clampbook.units import plain, show_day

_QUARTER = 4  # the reference's expanded uncertainty should be no more than a quarter of what the tool may deviate


class ReferenceKnown(Struct, frozen=True, kw_only=True, omit_defaults=True):
    """The uncertainty of the reference in percent, with its factor and certificate; `overdue_since` a day (ISO 8601)
    when the check was begun. `wide`: it is more than a quarter of what the tool may deviate."""

    percent: str
    coverage: str
    certificate: str | None = None
    overdue_since: str | None = None
    wide: bool = False


class Fewer(Struct, frozen=True, kw_only=True):
    """The readings and torques of a file that has less than the standard asks for."""

    readings: int
    torques: int
    readings_asked: int
    torques_asked: int


class RestsOn(Struct, frozen=True, kw_only=True, omit_defaults=True):
    """All of it: names as they stand on the tools, percent as they were written. `from_file`: nobody watched it."""

    tool: str
    allowed_percent: str
    allowed_by: str | None = None
    iso_type: str | None = None
    iso_class: str | None = None
    reference: str | None = None
    reference_known: ReferenceKnown | None = None
    techniques: tuple[str, ...] = ()
    from_file: bool = False
    fewer: Fewer | None = None


def rests_on(plan: CheckPlan) -> RestsOn:
    """Gather what the verdicts of a plan rest on."""
    tool, reference = plan.tool, plan.reference
    techniques = tuple(dict.fromkeys(each.technique for each in plan.series))
    return RestsOn(
        tool=tool.name,
        allowed_percent=plain(plan.permissible),
        allowed_by=tool.permissible_from,
        iso_type=tool.iso_type,
        iso_class=tool.iso_class,
        reference=None if reference is None else reference.name,
        reference_known=_known(reference, plan),
        techniques=techniques if len(techniques) > 1 else (),
        from_file=plan.source == "file",
        fewer=_fewer(plan),
    )


def _known(reference: Tool | None, plan: CheckPlan) -> ReferenceKnown | None:
    if reference is None or reference.uncertainty is None:
        return None
    due = due_on(reference)
    return ReferenceKnown(
        percent=plain(reference.uncertainty),
        coverage=plain(reference.coverage),
        certificate=reference.certificate,
        overdue_since=due if due is not None and plan.planned_on is not None and due < plan.planned_on else None,
        wide=reference.uncertainty * _QUARTER > plan.permissible,
    )


def _fewer(plan: CheckPlan) -> Fewer | None:
    if plan.rows is None or plan.tool.maximum is None:
        return None
    asked, standard = readings_of(plan.tool), len(points_of(plan.tool))
    techniques = len({each.technique for each in plan.series})
    if len(plan.points) >= standard and plan.rows >= asked * len(plan.points) * techniques:
        return None
    return Fewer(readings=plan.rows, torques=len(plan.points), readings_asked=asked, torques_asked=standard)


def sentences(found: RestsOn) -> Iterator[str]:
    """The same as people read it."""
    by = allowed_by(found.allowed_by, found.iso_type, found.iso_class)
    source = "as written in tools.toml" if by in (None, WRITTEN) else by
    yield f"Allowed: {found.tool} off by ±{found.allowed_percent} % of the reference ({source})."
    yield from _of_the_reference(found.reference, found.reference_known)
    if found.techniques:
        first, *others = found.techniques
        yield f"The first technique decides the verdict: {first}. Compared with it: {', '.join(others)}."
    if found.from_file:
        yield "The readings come from a file: zero, exercise and order are not known."
    if (less := found.fewer) is not None:
        yield (
            f"{less.readings} readings at {less.torques} torques are less than ISO 6789-1 has, "
            f"{less.readings_asked} at each of {less.torques_asked}: what lies between was not looked at."
        )


def _of_the_reference(name: str | None, known: ReferenceKnown | None) -> Iterator[str]:
    if known is None:
        whose = "No reference is named" if name is None else f"{name} has no uncertainty in tools.toml"
        yield f"{whose}. The reference's uncertainty is not known, so no point can pass."
        return
    certificate = f"certificate {known.certificate}" if known.certificate else "no certificate named"
    told = f"Uncertainty of {name}: ±{known.percent} % (k = {known.coverage}, {certificate})."
    yield f"{told} Its drift since then is not counted."
    if known.overdue_since is not None:
        day = show_day(known.overdue_since)
        yield f"{name}: calibration overdue since {day}. Its certificate may no longer be true."
    if known.wide:
        yield (
            "That is more than a quarter of what is allowed, the most that ISO 6789-1 asks for. "
            "Points near the limit stay undecided."
        )


def told(plan: CheckPlan) -> tuple[str, ...]:
    """The sentences of a plan."""
    return tuple(sentences(rests_on(plan)))
