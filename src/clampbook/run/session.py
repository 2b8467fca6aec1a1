"""A moment of the walk: plan, progress, what is known around them, and a doubt that is still open."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from decimal import Decimal

from clampbook.people import Person
from clampbook.run.plan import Plan
from clampbook.run.progress import Progress
from clampbook.tools.model import Tool


@dataclass(frozen=True, slots=True)
class Stamp:
    """When and by whom: `at` in UTC, `offset` of the place such as "+01:00", ids of who typed and who did the work."""

    at: datetime
    offset: str
    by: str
    done_by: str | None = None

    @property
    def text(self) -> str:
        """The time as the daybook holds it, to the millisecond."""
        return self.at.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


@dataclass(frozen=True, slots=True)
class Session:
    """`painted` is when the present prompt was shown; `doubt` is a doubt that was just raised about what was typed, its
    code and the step it is about; `exempt` is True where no least pull time holds, as for lines from a pipe."""

    plan: Plan
    progress: Progress
    tools: tuple[Tool, ...] = ()
    people: tuple[Person, ...] = ()
    painted: datetime | None = None
    doubt: tuple[str, str] | None = None
    exempt: bool = False

    def doubted(self, step: str) -> str | None:
        """The code of the doubt that is open about this step: number and unit are wanted then."""
        return self.doubt[0] if self.doubt is not None and self.doubt[1] == step else None


def moment(text: str) -> datetime:
    """A time of the daybook."""
    return datetime.fromisoformat(text)


def seconds_between(earlier: str, later: datetime) -> Decimal:
    """Seconds from a time of the daybook to a moment; negative where the clock was put back."""
    return Decimal(str((later - moment(earlier)).total_seconds()))
