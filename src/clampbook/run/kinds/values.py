"""Turning what was typed into a value: number and unit, the value at the fastener, and the window as text."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from typing import TypeVar

from msgspec import Struct

from clampbook import units
from clampbook.figures import digits_beside, show_exactly, show_window
from clampbook.ledger.stamp import Stamp
from clampbook.run.answers import Accepted, Answer, Unsure, Value
from clampbook.run.fold.verdict import Verdict, judge, slip
from clampbook.run.gather.asking import named
from clampbook.run.gather.draft import Draft, Part, bare
from clampbook.run.kinds.kind import Next, Outcome
from clampbook.run.prompts import Ends, Measure, StartSheet
from clampbook.run.session import BETWEEN_LINES, Session, moment
from clampbook.tools import measuring
from clampbook.tools.aim import Aim
from clampbook.tools.lever import STRAIGHT, Reach
from clampbook.tools.model import Tool
from clampbook.tools.setting import scale
from clampbook.units import UNITS_OF, Kind, Quantity, UnitFault, show

Asked = TypeVar("Asked")

SIGNIFICANT = 5
_THE_SAME = "the same number with its unit"  # another number may stand alone
OFF_SCALE = "off the scale"  # the code of a torque that the tool cannot show
LESS_THAN_TIGHTENED = "less than tightened"  # the code of a torque at a slot, where a nut is only turned on
MOST_DIGITS_OF_A_COUNT = 6
SHOWN = "Type what it shows"  # begins what is asked of a value that is refused
ENDLESS = 9  # more digits than anybody types or any scale shows


class Typed(Struct, frozen=True):
    """A typed value: as typed, its number and unit, the exact value in the sheet's unit, and the verdict on it."""

    text: str
    value: Decimal
    unit: str
    exact: Decimal
    verdict: Verdict


class Wrong(Struct, frozen=True):
    """A refusal of what was typed; a sentence says why."""

    sentence: str


def typed_value(
    text: str,
    kind: Kind,
    default: str,
    sheet_unit: str,
    window: Ends,
    *,
    with_unit: bool,
    through: Reach = STRAIGHT,
) -> Typed | Wrong:
    """Read a number, with a unit where one was typed or where `with_unit` demands it, and judge it.

    A number alone is in `default`; the exact value, at the fastener where a tool reaches it `through` an adapter, and
    the window are in `sheet_unit`.
    """
    if kind is Kind.COUNT:
        return _counted(text, window)
    try:
        quantity = units.parse(text, kind) if with_unit else units.parse(text, kind, unit=default)
    except UnitFault as fault:
        return Wrong(_open(fault, with_unit and not no_number(text)))
    if quantity.value < 0 or (quantity.value == 0 and kind is Kind.TORQUE):
        return Wrong(f"“{text.strip()}” is not possible here. {SHOWN}, above zero.")
    exact = through.at_fastener(units.convert(quantity.value, quantity.unit, sheet_unit))
    return Typed(text.strip(), quantity.value, quantity.unit, exact, judge(exact, window))


def _counted(text: str, window: Ends) -> Typed | Wrong:
    """A number of things: digits alone."""
    typed = text.strip()
    if not (typed.isascii() and typed.isdigit()):
        return Wrong(f"“{typed}” is not a count. Type a whole number, digits alone.")
    if len(typed) > MOST_DIGITS_OF_A_COUNT:
        return Wrong(f"“{typed}” is too many. Type {MOST_DIGITS_OF_A_COUNT} digits at most.")
    value = Decimal(typed)
    return Typed(typed, value, units.COUNT, value, judge(value, window))


def no_number(text: str) -> bool:
    """True of figures that are no number, as 20,5,3: no unit behind them would make them one."""
    if not bare(text):
        return False
    try:
        units.number(text)
    except UnitFault:
        return True
    return False


def _open(fault: UnitFault, with_unit: bool) -> str:
    return f"{SHOWN}, with its unit." if with_unit else fault.sentence


def unusual_in(typed: Typed, target: Decimal | None, window: Ends, kind: Kind) -> str | None:
    """The code of what makes a typed value unusual, or None."""
    return slip(typed.exact, typed.value, target, window, kind)


def unusual_words(read: Typed, code: str) -> str:
    """A sentence about a value that looks like a slip of the hand, which asks for it once more."""
    looks = {
        "unit": "Wrong unit?",
        "decimal place": "Wrong decimal point?",
        "digits swapped": "Digits swapped?",
    }
    again = "Type it again." if read.unit == units.COUNT else "Type it again, with its unit."
    return f"{show_exactly(read.value, read.unit)} is unusual here. {looks[code]} {again}"


def less_than_tightened(session: Session, step: str, read: Typed, held: Decimal | None, unit: str) -> Unsure | None:
    """Ask once more for a torque at a slot that is less than the nut `held` before it was turned on, in this unit; once
    only."""
    # What is held was rounded as it was stored: the same pull typed twice is not less than itself.
    if held is None or Decimal(rounded(read.exact)) >= held or session.unusual_at(step) is not None:
        return None
    at_fastener = show_exactly(read.value, read.unit)
    if read.exact != read.value or read.unit != unit:
        at_fastener += f" ({show(Decimal(rounded(read.exact)).normalize(), unit)})"
    told = f"{at_fastener} is less than it was tightened to, {show(held.normalize(), unit)}. Digits swapped?"
    return Unsure(f"{told} Type it again, with its unit.", LESS_THAN_TIGHTENED, step)


def off_scale(typed: Typed | Quantity, aim: Aim, again: str = f"Type it again, {_THE_SAME}.") -> str | None:
    """A sentence where a torque is nothing that the tool could have shown, which asks for it once more."""
    if not aim.off_scale(units.convert(typed.value, typed.unit, aim.tool.unit)):
        return None
    read = show_exactly(typed.value, typed.unit)
    return f"{read} is off {aim.tool.name}'s scale ({scale(aim.tool)}). {again}"


def between_lines(typed: Typed, aim: Aim) -> str | None:
    """A sentence where a torque lies inside its window, and outside as the window is shown, which is no finer than the
    scale: it is asked once more beside the window with as many digits as it has."""
    ends = aim.as_finely(typed.value) if typed.unit == aim.tool.unit else None
    if ends is None:
        return None
    read, window = show_exactly(typed.value, typed.unit), show_window(*ends, typed.unit, exact=True)
    return f"{read} is between two scale lines of {aim.tool.name}, the window is {window}. Type it again."


def with_its_scale(text: str, prompt: Measure) -> str:
    """A measured number as typed; one without a unit gets that of the scale where the procedure has another one."""
    tool = prompt.instrument
    return text if tool is None or tool.unit == prompt.unit or not bare(text) else f"{text}{units.behind(tool.unit)}"


def off_its_scale(typed: Typed, tool: Tool) -> str | None:
    """A sentence where an instrument could not have shown a number, which asks for it once more."""
    if not measuring.off_scale(tool, units.convert(typed.value, typed.unit, tool.unit)):
        return None
    read, whole = show_exactly(typed.value, typed.unit), scale(tool)
    return f"{read} is off {tool.name}'s scale ({whole}). Type what {tool.name} shows, {_THE_SAME}."


def finer_than_its_scale(typed: Typed, tool: Tool) -> str | None:
    """A sentence where a number lies between two scale lines of an instrument, or two leaves, which asks for it
    once more."""
    if typed.unit != tool.unit or not measuring.finer(tool, typed.value):
        return None
    read, step = show_exactly(typed.value, typed.unit), show_exactly(tool.resolution or Decimal(0), tool.unit)
    return f"{read} is finer than {tool.name} shows (scale lines {step} apart). Type it again."


def asked_again(session: Session, step: str, read: Typed, unusual: str | None, by: Aim | Tool | None) -> Unsure | None:
    """Ask once more, before it is stored, for what looks like a slip (`unusual` is its code), cannot stand on the scale
    of the tool that it was read `by`, contradicts the window as it is shown, or is finer than an instrument shows. Each
    is asked once.
    """
    if session.unit_wanted(step):
        return None
    if unusual:
        return Unsure(unusual_words(read, unusual), unusual, step)
    if by is None:
        return None
    beyond = off_its_scale(read, by) if isinstance(by, Tool) else off_scale(read, by)
    if beyond:
        return Unsure(beyond, OFF_SCALE, step)
    if session.unusual_at(step) is not None:
        return None
    finer = finer_than_its_scale(read, by) if isinstance(by, Tool) else between_lines(read, by)
    return Unsure(finer, BETWEEN_LINES, step) if finer else None


def rounded(value: Decimal, window: Ends = (None, None)) -> str:
    """A value with five significant digits as text, with more where these would take it across its window."""
    return units.plain(digits_beside(value, window, min(value.adjusted() - SIGNIFICANT + 1, 0))) if value else "0"


def kept(value: Decimal, window: Ends = (None, None)) -> str:
    """An exact value as text; one that a conversion made endless is kept as `rounded` has it."""
    return units.plain(value) if len(value.normalize().as_tuple().digits) <= ENDLESS else rounded(value, window)


def ends(window: Ends) -> tuple[str | None, str | None]:
    """A window as the daybook holds it."""
    low, high = window
    return (None if low is None else units.plain(low), None if high is None else units.plain(high))


def with_its_unit(
    session: Session, begun: Value, draft: Draft, kind: Kind, settles: Callable[[Session, Stamp], bool]
) -> Value | Part:
    """Take what was typed; after an unusual value that it does not settle by itself, its unit is asked for, and none
    stands first.

    `settles` says whether a number without its unit would be taken if nothing were unusual.
    """
    if kind is Kind.COUNT:
        return begun
    if draft.has("unit"):
        return Value(f"{begun.text} {draft.text('unit')}")
    if session.unusual is None or session.unusual[0] == BETWEEN_LINES or not bare(begun.text) or no_number(begun.text):
        return begun
    now = Stamp(moment(session.progress.at), session.progress.offset, session.progress.by)
    if settles(replace(session, unusual=None, exempt=True), now):
        return begun
    return Part("unit", f"{begun.text} in which unit?", "choice", named(UNITS_OF[kind]))


def taken_with_unit(
    prompt: Asked,
    session: Session,
    begun: Answer,
    draft: Draft,
    kind: Kind,
    decide: Callable[[Session, Asked, Value, Stamp], Outcome],
) -> Next:
    """The same at a question that `decide` judges by the value alone; what is no value is complete as it is."""
    if not isinstance(begun, Value):
        return begun

    def settles(calm: Session, stamp: Stamp) -> bool:
        return isinstance(decide(calm, prompt, begun, stamp), Accepted)

    return with_its_unit(session, begun, draft, kind, settles)


def open_again(prompt: object) -> str:
    """The sentence that asks for an unusual value once more: of a count the number alone."""
    if isinstance(prompt, Measure) and prompt.unit == units.COUNT:
        return "Count again, then type the number."
    if isinstance(prompt, StartSheet):
        return "Read it again, then type the number."
    return "Type what the tool shows, number and unit."
