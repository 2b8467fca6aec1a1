"""Stages that pull: tightening to a torque or a stretch, turning, rechecking, with their targets and windows."""

from __future__ import annotations

from decimal import Decimal

from msgspec import UNSET, UnsetType

from clampbook.procedure.amounts import Reading, above_zero, angle, seconds, torque, torque_or_share
from clampbook.procedure.codes import Code
from clampbook.procedure.entries import Entry, Joint, common
from clampbook.procedure.model import Align, Recheck, Stretch, Tighten, Turn, Window
from clampbook.procedure.sampling import sample_of
from clampbook.procedure.sheet_shared import PulledTable
from clampbook.procedure.sheet_stages import AlignTable, RecheckTable, TightenTable, TurnTable
from clampbook.procedure.slips import KeyPath, Slips, spoken
from clampbook.procedure.windows import ends, pull_window, torque_limits
from clampbook.units import Kind, Quantity, UnitFault, convert, parse, show

STILL = "no movement before it releases"
BACK_OFF = "back off and tighten again"
# A quarter turn, as general fitting practice has it; Army TB 43-0218 backs off one whole turn. The smaller of the two
# breaks the bond as well, and a sheet that wants the other says so.
QUARTER_TURN = Decimal(90)
WHOLE_TURN = Decimal(360)
_LONGEST_PULL = Decimal(600)
_OF_STRETCH = ("stretch_between", "minus", "never_above")
_EXAMPLES = {"stretch_between": 'stretch_between = ["0.12 mm", "0.18 mm"]', "never_above": 'never_above = "95 N·m"'}


def tighten(joint: Joint, entry: Entry, table: TightenTable) -> Tighten | None:
    """A pull to a torque or a stretch; None where a slip leaves too little of it."""
    reading, at = joint.reading, entry.at
    whole, known = _target_of(joint, entry)
    target, share = torque_or_share(reading, (*at, "to"), table.to, whole, known=known)
    least_pull = _least_pull(reading, at, table.least_pull)
    stretch = _stretch(reading, at, table)
    if table.until is None:
        if table.to is None:
            reading.slips.add(
                Code.MISSING_KEY,
                at,
                f"{spoken(at)} does not say to which torque",
                found="nothing",
                allowed="a torque or a share",
                hint='add a line like to = "30 N·m", as the manual says',
            )
        window = pull_window(
            reading, at, target=target, within=table.within, between=table.between, kind=Kind.TORQUE, needed=True
        )
    else:
        never = None if stretch is None else convert(stretch.never_above.value, stretch.never_above.unit, reading.unit)
        window = None if never is None else Window(low=None, high=never, unit=reading.unit)
        _below_limit(reading, at, target, never)
    if window is None or least_pull is None or (table.until is None and target is None):
        return None
    return Tighten(
        target=target,
        window=window,
        share=share,
        rounds=table.rounds,
        confirm=table.confirm,
        together=table.together,
        least_pull=least_pull,
        may_repull=table.may_repull,
        stretch=stretch,
        adapter=_adapter(entry, table),
        **common(entry),
    )


def _below_limit(reading: Reading, at: KeyPath, target: Decimal | None, never: Decimal | None) -> None:
    if target is not None and never is not None and target > never:
        reading.slips.add(
            Code.STRETCH,
            (*at, "to"),
            "the torque is above never_above",
            found=f"{target} {reading.unit}",
            allowed=f"up to {never} {reading.unit}",
            hint=f"write {show(never, reading.unit)} or less",
        )


def _stretch(reading: Reading, at: KeyPath, table: TightenTable) -> Stretch | None:
    """Stretch as a target; `at` is the stage's table."""
    _stretch_keys(reading.slips, at, table)
    if table.until is None or table.stretch_between is None:
        return None
    here = (*at, "stretch_between")
    window = ends(reading, here, table.stretch_between, Kind.LENGTH, _unit(table.stretch_between[0], "mm"))
    never = above_zero(reading, (*at, "never_above"), table.never_above, Kind.TORQUE)
    if window is None or never is None:
        return None
    return Stretch(window=window, minus=table.minus, never_above=never)


def _stretch_keys(slips: Slips, at: KeyPath, table: TightenTable) -> None:
    """The keys of stretching go together, and none of them goes with a window of torques."""
    together = 'until = "stretch", stretch_between = ["0.12 mm", "0.18 mm"], never_above = "95 N·m"'
    given = {key for key in (*_OF_STRETCH, "within", "between") if getattr(table, key) is not None}
    if table.until is None:
        for key in sorted(given & {*_OF_STRETCH}):
            text = f"{key} is for tightening to a stretch"
            slips.add(
                Code.STRETCH,
                (*at, key),
                text,
                found=key,
                allowed=together,
                hint=f'add until = "stretch", or remove {key}',
            )
        return
    for key in ("stretch_between", "never_above"):
        if key not in given:
            text = f"tightening to a stretch needs {key}"
            slips.add(
                Code.STRETCH, at, text, found="nothing", allowed=together, hint=f"add a line like {_EXAMPLES[key]}"
            )
    for key in sorted(given - {*_OF_STRETCH}):
        text = f"{key} has no meaning where a stretch decides"
        slips.add(Code.STRETCH, (*at, key), text, found=key, allowed=together, hint=f"remove {key}")


def _unit(text: str, otherwise: str) -> str:
    try:
        return parse(text).unit
    except UnitFault:
        return otherwise


def turn(reading: Reading, entry: Entry, table: TurnTable) -> Turn | None:
    """A turn by an angle; None where a slip leaves too little of it."""
    at = entry.at
    target = angle(reading, (*at, "by"), table.by)
    window = pull_window(
        reading, at, target=target, within=table.within, between=table.between, kind=Kind.ANGLE, needed=True
    )
    final = None
    if table.final_torque is not None:
        final = torque_limits(reading, (*at, "final_torque"), table.final_torque)
    if target is None or window is None:
        return None
    return Turn(
        target=target,
        window=window,
        rounds=table.rounds,
        in_strokes=table.in_strokes,
        judged_by=table.judged_by,
        together=table.together,
        final_torque=final,
        adapter=_of_the_turn(reading, entry, table),
        **common(entry),
    )


def _adapter(entry: Entry, table: PulledTable) -> str | UnsetType:
    """The adapter that must stand on the tool: as the stage says, else as its group does."""
    return table.adapter or (UNSET if entry.group is None else entry.group.adapter)


def _of_the_turn(reading: Reading, entry: Entry, table: TurnTable) -> str | UnsetType:
    """The same of a turn, where it bears on the torque at its end alone: an adapter changes no angle."""
    if table.final_torque is not None:
        return _adapter(entry, table)
    if table.adapter is not None:
        reading.slips.add(
            Code.ADAPTER,
            (*entry.at, "adapter"),
            "an adapter changes no angle, and this turn reads no torque",
            found=table.adapter,
            allowed="beside final_torque",
            hint="remove adapter, or add final_torque as the manual has it",
        )
    return UNSET


def align(reading: Reading, entry: Entry, table: AlignTable) -> Align | None:
    """A turn to the next slot; None where nothing says how far apart the slots are."""
    at = entry.at
    at_most = torque(reading, (*at, "at_most"), table.at_most)
    slot = angle(reading, (*at, "slot_every"), table.slot_every)
    if table.slots is None and (*at, "slots") in reading.slips.unread:
        return None
    if (table.slots is None) == (table.slot_every is None):
        twice = table.slots is not None
        reading.slips.add(
            Code.SLOTS,
            at,
            f"{spoken(at)} says {'twice' if twice else 'nowhere'} how far apart the slots are",
            found="slots and slot_every" if twice else "nothing",
            allowed="slots or slot_every",
            hint="keep slots or slot_every, not both" if twice else "add a line like slots = 6",
        )
        return None
    if table.slots is not None:
        slot = WHOLE_TURN / table.slots
    if slot is None:
        return None
    return Align(slot=slot, lock=table.lock, at_most=at_most, adapter=_adapter(entry, table), **common(entry))


def recheck(joint: Joint, entry: Entry, table: RecheckTable) -> Recheck | None:
    """A look whether anything moves; None where a slip leaves too little of it."""
    reading, at = joint.reading, entry.at
    whole, known = _target_of(joint, entry)
    target, share = torque_or_share(reading, (*at, "at"), table.at, whole, known=known)
    window = pull_window(
        reading, at, target=target, within=table.within, between=table.between, kind=Kind.TORQUE, needed=False
    )
    still = None if table.still == STILL else angle(reading, (*at, "still"), table.still)
    back_off = _backed_off(reading, at, table)
    least_pull = _least_pull(reading, at, table.least_pull)
    alone = table.until_still != (table.at_most is not None)
    if alone and reading.slips.unread.isdisjoint(((*at, "at_most"), (*at, "until_still"))):
        reading.slips.add(
            Code.PASSES,
            (*at, "until_still" if table.until_still else "at_most"),
            "until_still and at_most go together",
            found="until_still alone" if table.until_still else "at_most alone",
            allowed="until_still = true and at_most = 4",
            hint="add a line like at_most = 4" if table.until_still else "add until_still = true",
        )
    if target is None or least_pull is None:
        return None
    return Recheck(
        target=target,
        method=table.method,
        back_off=back_off,
        still=still,
        share=share,
        window=window,
        until_still=table.until_still,
        at_most=table.at_most or 1,
        together=table.together,
        least_pull=least_pull,
        sample=sample_of(reading, entry, table, "each"),
        adapter=_adapter(entry, table),
        **common(entry),
    )


def _backed_off(reading: Reading, at: KeyPath, table: RecheckTable) -> Decimal | None:
    """Read how far it is backed off, in degrees; None where it is not."""
    if table.method == BACK_OFF:
        return QUARTER_TURN if table.back_off is None else angle(reading, (*at, "back_off"), table.back_off)
    if table.back_off is not None:
        reading.slips.add(
            Code.BACK_OFF,
            (*at, "back_off"),
            "this recheck does not back off",
            found=f"method {table.method}",
            allowed=f'method = "{BACK_OFF}"',
            hint=f'remove back_off, or write method = "{BACK_OFF}"',
        )
    return None


def _target_of(joint: Joint, entry: Entry) -> tuple[Quantity | None, bool]:
    """Give the target that a share refers to, and tell whether the group is sound enough to miss it."""
    group = entry.group
    return (None, False) if group is None else (group.target, joint.targets_known)


def _least_pull(reading: Reading, at: KeyPath, text: str) -> Decimal | None:
    least = seconds(reading, (*at, "least_pull"), text, zero=True)
    if least is not None and least > _LONGEST_PULL:
        reading.slips.add(
            Code.NOT_POSSIBLE,
            (*at, "least_pull"),
            f"{text} is too long for a pull",
            found=text,
            allowed="up to 10 min",
            hint="write 10 min or less",
        )
    return least
