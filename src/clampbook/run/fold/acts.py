"""Acts: what was done in a run, a row for each thing, as the walk took it. Whoever tells of a run reads these rows."""

from __future__ import annotations

from typing import Literal

from msgspec import Struct

from clampbook.run.events import Ends, Mark, Verdict

Kind = Literal[
    "pull",
    "click",
    "confirmation",
    "turn",
    "slot",
    "prevailing torque",
    "final torque",
    "stretch",
    "measurement",
    "recheck",
    "backing off",
    "loosening",
    "application",
    "bad pull",
    "wrong position",
    "look",
    "wait",
    "skipped",
    "broken",
    "mark lost",
    "decision",
    "left blank",
]
"""`pull` has a reading, `click` and `confirmation` have a setting and no number; one of these is for several. At a
`slot` nothing was turned."""

WhyNot = Literal[
    "void",
    "corrected",
    "from memory alone",
    "earlier attempt",
    "under, pulled again",
    "pulled again",
    "earlier stroke",
    "earlier pass",
    "loosened again",
    "applied again",
    "measured again",
    "adjusted since",
]

CLICKED, CONFIRMED, BY_THE_MARK, NOT_JUDGED = "clicked", "confirmed together", "by the mark", "not judged"
BY_CONCESSION, AS_EXPECTED, NOT_AS_EXPECTED, UNKNOWN = "by concession", "as expected", "not as expected", "unknown"
NOT_DRAWN = "not in the sample"
LEFT_BLANK: Kind = "left blank"  # nothing stands on a paper form
MOVED, STILL = "moved", "still"
NO_MOVEMENT, NO_MOVEMENT_YET = "no movement", "no movement yet"  # where the torque at first movement was to be read
ALIGNED, AT_THE_SLOT = "aligned already", "turned on to the slot"
BACKED_OFF = "backed off"  # and not pulled since
LET_DOWN = "let down"  # of what a tensioner held
TOO_FAR_APART: Literal["too far apart"] = "too far apart"  # points within their window, and too far from each other
DEGREES = "°"

CLICKS: tuple[Kind, ...] = ("click", "confirmation")
WITH_A_TOOL: tuple[Kind, ...] = (
    "pull",
    *CLICKS,
    "turn",
    "prevailing torque",
    "final torque",
    "stretch",
    "measurement",
    "recheck",
    "bad pull",
    "wrong position",
)


class Act(Struct, frozen=True, kw_only=True, gc=False):
    """One thing done at one position (None: at a gate), or about an act before it.

    A reading stands in `value`, a setting in `set_to`, an angle in `angle`: never one for another; `unit` is that on
    the tool. `at_fastener` is in the plan's unit. `shown` is what is judged, in `shown_unit`. `about` is the line that
    a correction or a void names. `work`: inserted before a position starts over. `why_not` None: it counts. `unmoved`:
    what the tool showed is not the torque at first movement, which nobody knows, and so nothing is `shown`.
    """

    line: int
    at: str
    offset: str
    by: str
    done_by: str
    kind: Kind
    step: str
    stage: int
    round: int
    position: str | None
    attempt: int
    outcome: str
    tool: str | None = None
    adapter: str | None = None
    value: str | None = None
    set_to: str | None = None
    angle: str | None = None
    unit: str | None = None
    at_fastener: str | None = None
    shown: str | None = None
    shown_unit: str | None = None
    window: Ends | None = None
    verdict: Verdict | None = None
    method: str | None = None
    pass_no: int | None = None
    mark: Mark | None = None
    unmoved: bool = False
    about: int | None = None
    corrects: bool = False
    work: bool = False
    conceded_at: int | None = None
    why_not: WhyNot | None = None

    @property
    def counts(self) -> bool:
        """True where it is part of what the run came to."""
        return self.why_not is None

    @property
    def used(self) -> bool:
        """True where a tool was loaded for it: also for a bad pull, and once for what was put right or voided later."""
        return self.kind in WITH_A_TOOL and self.tool is not None and self.about is None
