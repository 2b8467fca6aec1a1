"""The map is turned, or seen from below."""

from __future__ import annotations

from decimal import Decimal

from msgspec.structs import replace

from clampbook.ledger.stamp import Stamp
from clampbook.run import events as e
from clampbook.run.answers import Accepted, TurnMap
from clampbook.run.fold.acts import Act
from clampbook.run.fold.line import Line
from clampbook.run.gather.asking import numbered
from clampbook.run.gather.draft import Draft, Part
from clampbook.run.kinds.kind import Next, Outcome, Tools
from clampbook.run.kinds.stamping import common
from clampbook.run.plan import Plan
from clampbook.run.progress import Progress
from clampbook.run.prompts import Prompt
from clampbook.run.session import Session
from clampbook.units import show

_TURNED = {
    "as_drawn": "as drawn",
    "quarter_clockwise": "a quarter turn clockwise",
    "half": "half a turn",
    "quarter_anticlockwise": "a quarter turn counterclockwise",
}
_QUARTERS = {"as_drawn": 0, "quarter_clockwise": 1, "half": 2, "quarter_anticlockwise": 3}


def complete(prompt: Prompt, session: Session, draft: Draft) -> Next:
    """Ask how it should stand, and seen from where."""
    del prompt, session
    if not draft.has("turned"):
        return Part("turned", "How should the map stand?", "choice", numbered(_TURNED))
    if not draft.has("seen"):
        ways = {"above": "from above, as drawn", "below": "from below"}
        return Part("seen", "Seen from where?", "choice", numbered(ways))
    return TurnMap(_QUARTERS[draft.text("turned")], draft.text("seen") == "below")


def decide(session: Session, prompt: Prompt, answer: TurnMap, stamp: Stamp) -> Outcome:
    """By quarters."""
    fields = common(session, stamp, prompt)
    return Accepted(e.MapTurned(**fields, quarters=answer.quarters % 4, from_below=answer.from_below))


def fold(plan: Plan, progress: Progress, event: e.MapTurned) -> Progress:
    """It stands like this from here on."""
    del plan
    return replace(progress, quarters=event.quarters, from_below=event.from_below)


def acts(line: Line, event: e.MapTurned) -> tuple[Act, ...]:
    """Nothing is done on the work itself."""
    del line, event
    return ()


def tell(event: e.MapTurned, plan: Plan, tools: Tools) -> str:
    """Tell how it stands."""
    del plan, tools
    turned = f"turned {show(Decimal(90 * event.quarters), '°')} clockwise" if event.quarters else "as drawn"
    return f"Map {turned}{', seen from below' if event.from_below else ''}."
