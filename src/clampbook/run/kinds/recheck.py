"""Rechecking: whether it moves at the torque of the sheet; or backing off, the pull again, and the mark."""

from __future__ import annotations

from dataclasses import replace as with_

from clampbook import units
from clampbook.figures import show_exactly
from clampbook.ledger.stamp import Stamp
from clampbook.procedure.model import Recheck as Stage
from clampbook.run import events as e
from clampbook.run.answers import Accepted, Answer, Refused, Still, Value
from clampbook.run.fold.passes import (
    FIRST_MOVEMENT,
    PULL_ON,
    UNMOVED,
    pass_at,
)
from clampbook.run.gather.draft import Draft, Part, bare
from clampbook.run.gather.keys import Keys
from clampbook.run.in_hand.aim import not_added
from clampbook.run.in_hand.ask_for import ready_tool
from clampbook.run.kinds import pulls
from clampbook.run.kinds.kind import Outcome, Planned
from clampbook.run.kinds.pulls_on_paper import rechecking
from clampbook.run.kinds.stamping import common
from clampbook.run.kinds.values import Typed, ends, rounded, with_its_unit
from clampbook.run.progress import FINISHED, standing
from clampbook.run.prompts import BackAtMark, BackOff, Choice, Prompt, Recheck, Tighten
from clampbook.run.session import BETWEEN_LINES, Session
from clampbook.run.told.places import pulled_at, tightened, where
from clampbook.run.told.torques import lever_line, mark_line, target_line, windows
from clampbook.run.told.words import Field, Words, band_of, window_in
from clampbook.tools.aim import OPEN, Aim
from clampbook.units import Kind

MOVED_OR_NOT = (Choice("1", "none seen", "still", Still(False)), Choice("2", "it moved", "moved", Still(True)))
MORE_OR_NOT = (Choice("1", "no", "still", Still(False)), Choice("2", "yes", "moved", Still(True)))


def plan(stage: Stage, unit: str) -> Planned:
    """At each position, in the sheet's unit."""
    return Planned("each", stage.target, stage.window, unit)


def ask(session: Session, index: int, stage: Stage) -> Prompt:
    """Ask if it moves; or for backing off, the pull, and the mark."""
    plan, progress = session.plan, session.progress
    place = where(plan, progress, index)
    state = standing(progress, place.position or "")
    number, late = pass_at(plan, progress, index).number, progress.found == FINISHED
    if stage.back_off is not None and state.awaiting is None:
        return BackOff(place, stage.back_off, plan.group_of[place.position or ""].left_hand, number, late)
    if state.awaiting == "mark":
        return BackAtMark(place, number)
    aim = ready_tool(session, index, place)
    if not isinstance(aim, Aim):
        return aim
    if state.awaiting == "tighten again":
        return Tighten(
            where=place,
            aim=aim,
            together=(),
            least_pull=stage.least_pull,
            prevailing=state.fastener.prevailing,
            not_added=not_added(plan, state, plan.steps[index]),
            last_value=pulls.last_under(state),
            finished_before=late,
        )
    return Recheck(
        where=place,
        aim=aim,
        method=stage.method,
        still=stage.still,
        pass_no=number,
        at_most=stage.at_most,
        together=pulls.together(plan, progress, index, stage.together),
        least_pull=stage.least_pull,
        last_value=pulls.last_under(state),
        finished_before=late,
        unmoved_up_to=state.last_value if state.unmoved and state.latest_step == index else None,
    )


def keys(prompt: Recheck) -> Keys:
    """Give what the tool shows; or, where it shows nothing, whether it moved."""
    if prompt.reading:
        return Keys((pulls.BAD,), types="number", wanted=f"{prompt.tool.name}'s reading in {prompt.tool.unit}")
    return Keys((*_moved_or_not(prompt), pulls.BAD))


def _moved_or_not(prompt: Recheck) -> tuple[Choice, ...]:
    """Offer the two answers: any movement was seen or none; or it was more than is allowed or not."""
    return MOVED_OR_NOT if prompt.still is None else MORE_OR_NOT


def words(prompt: Recheck) -> Words:
    """Pull and watch, or pull and read; by which method, and in which pass."""
    aim = prompt.aim
    judged = None if aim.window == OPEN else aim.window
    return Words(
        _sentence(prompt),
        _matters(prompt),
        hand=pulls.mark(aim),
        position=pulls.position(prompt.where),
        about=prompt.together,
        field=Field("reading", prompt.tool.unit) if prompt.reading else None,
        band=None if judged is None else band_of(aim),
        picture=True,
        terms=("recheck", "window"),
        facts=with_(pulls.aimed(aim), window=window_in(judged, aim.unit)),
    )


def _sentence(prompt: Recheck) -> str:
    """ "Head bolt 6: pull W2 to one click. Watch for movement." """
    aim, here, way = prompt.aim, pulled_at(prompt.where), tightened(prompt.where)
    mark = "" if aim.mark is None else show_exactly(aim.mark, aim.tool.unit)
    if prompt.finished_before:
        told = f"type what {aim.hand} showed" if prompt.reading else f"did it move at {aim.hand}'s pull?"
        return f"{here}: rechecked before the break, {told}" + ("." if prompt.reading else "")
    if not prompt.reading:
        asked = "Watch for movement." if prompt.still is None else f"Moved more than {units.show(prompt.still, '°')}?"
        return f"{here}: pull {aim.hand}{way} {pulls.giving(aim).until}. {asked}"
    if prompt.unmoved_up_to is not None:
        return f"{_pull_on(prompt)} Type its reading at first movement."
    if prompt.method == FIRST_MOVEMENT:
        return f"{here}: pull {aim.hand}{way} slowly. Type its reading at first movement."
    if prompt.last_value is not None:
        return f"{here}: under. Pull {aim.hand}{way} up to {mark}. Type its reading."
    return f"{here}: pull {aim.hand}{way} slowly to {mark}. Type its reading."


def _pull_on(prompt: Recheck) -> str:
    """ "Head bolt 6 did not move up to 46.1 N·m. Pull W2 on, not above 60 N·m." """
    aim, here, way = prompt.aim, pulled_at(prompt.where), tightened(prompt.where)
    high = aim.on_tool[1]
    most = "" if high is None else f", not above {show_exactly(high, aim.tool.unit)}"
    return f"{here} did not move up to {prompt.unmoved_up_to} {aim.tool.unit}. Pull {aim.hand}{way} on{most}."


def _matters(prompt: Recheck) -> tuple[str, ...]:
    aim = prompt.aim
    lines = [*target_line(aim), f"method: {prompt.method}"]
    if aim.set_to is not None or aim.adapter is not None:
        lines += [*mark_line(aim), *lever_line(aim)]
    if aim.window != (None, None):
        lines.append(windows(aim))
    lines += aim.despite
    high = aim.on_tool[1]
    if prompt.method == FIRST_MOVEMENT and high is not None and prompt.unmoved_up_to is None:  # where to stop unmoved
        lines.append(f"not above {show_exactly(high, aim.tool.unit)}")
    if prompt.last_value is not None:
        lines.append(f"last reading {prompt.last_value} {aim.tool.unit}, under")
    if prompt.at_most > 1:
        lines.append(f"round {prompt.pass_no}, at most {prompt.at_most}")
    return (*lines, *pulls.together_line(prompt.together, prompt.where))


def complete(prompt: Recheck, session: Session, begun: Answer, draft: Draft) -> Part | Refused | Answer:
    """After a reading that is taken as it is, whether it moved."""
    if not isinstance(begun, Value):
        return begun

    def settles(calm: Session, stamp: Stamp) -> bool:
        return _movement_comes_next(calm, prompt, begun.text) or isinstance(
            decide(calm, prompt, begun, stamp), Accepted
        )

    read = with_its_unit(session, begun, draft, Kind.TORQUE, settles)
    if isinstance(read, Part):
        return read
    if session.unusual is not None and session.unusual[0] != BETWEEN_LINES and bare(read.text):
        session = with_(session, unusual=None)
    if not _movement_comes_next(session, prompt, read.text):
        return read
    if not draft.has("moved"):
        asked = "Did it move?" if prompt.still is None else f"Moved more than {units.show(prompt.still, '°')}?"
        return Part("moved", asked, "choice", _moved_or_not(prompt))
    return Still(draft.text("moved") == "moved", read.text)


def _movement_comes_next(session: Session, prompt: Recheck, text: str) -> bool:
    """True where this reading is taken as it is and movement is asked next; else it is judged by itself first."""
    read = pulls.read(session, prompt, text)
    return isinstance(read, Typed) and _movement_is_asked(prompt, read)


def _movement_is_asked(prompt: Recheck, read: Typed) -> bool:
    """True where there is something to say of movement: what is still under is pulled on first."""
    return read.verdict != "under" or prompt.method == FIRST_MOVEMENT


def decide(session: Session, prompt: Recheck, answer: Answer, stamp: Stamp) -> Outcome:
    """A recheck, judged like a pull: what the tool shows, where it shows something, and whether anything moved."""
    match answer:
        case Value(text=text) if prompt.reading:
            moved = None
        case Still(moved=moved, text=str() as text) if prompt.reading:
            pass
        case Still(moved=moved, text=None) if not prompt.reading:
            return _clicked(session, prompt, stamp, moved=moved)
        case _:
            return Refused(_wanted(prompt))
    unusual = session.unusual_at(prompt.where.id)
    read = pulls.read(session, prompt, text)
    if not isinstance(read, Typed):
        return read
    asked = _movement_is_asked(prompt, read)
    if moved is None and asked:
        return Refused("Type the reading, then say whether it moved.")
    return Accepted(
        _line(
            session,
            prompt,
            stamp,
            moved=moved if asked else None,
            typed=read.text,
            value=units.plain(read.value),
            unit=read.unit,
            at_fastener=rounded(read.exact, prompt.window),
            verdict=read.verdict if prompt.window != (None, None) else None,
            unusual=unusual,
            noted=_noted(prompt, read) if moved is False else (),
        )
    )


def _noted(prompt: Recheck, read: Typed) -> tuple[str, ...]:
    """Note of what did not move, where it was to, that what was read is not the torque at first movement."""
    if prompt.method != FIRST_MOVEMENT:
        return ()
    return (UNMOVED, PULL_ON) if _may_be_pulled_on(prompt, read) else (UNMOVED,)


def _may_be_pulled_on(prompt: Recheck, read: Typed) -> bool:
    """True where nothing moved within the window, and its upper end is not reached; asked once, as nobody stops at the
    very end of it."""
    high = prompt.window[1]
    before = prompt.finished_before or (prompt.unmoved_up_to is not None and prompt.last_value is None)
    return not before and read.verdict == "within" and high is not None and read.exact < high


def _wanted(prompt: Recheck) -> str:
    if prompt.reading:
        return f"Type what {prompt.tool.name} shows, in {prompt.tool.unit}, then say whether it moved."
    return f"{prompt.tool.name} gives no reading. Press 1 when no movement was seen, 2 when it moved."


def _clicked(session: Session, prompt: Recheck, stamp: Stamp, *, moved: bool) -> Outcome:
    """A setting tool gave: no number, but what it was set to."""
    hurried = pulls.too_soon(session, stamp, prompt.least_pull, f"it has {pulls.giving(prompt.aim).done}")
    if hurried and not prompt.finished_before:
        return Refused(hurried)
    setting = prompt.set_to
    if setting is None:  # no setting stands on a paper form
        return Accepted(_line(session, prompt, stamp, moved=moved))
    there, verdict = pulls.set_there(prompt), pulls.outside(prompt)
    shown = units.plain(setting.value)
    return Accepted(
        _line(session, prompt, stamp, moved=moved, set_to=shown, unit=setting.unit, at_fastener=there, verdict=verdict)
    )


def _line(
    session: Session, prompt: Recheck, stamp: Stamp, *, noted: tuple[str, ...] = (), **more: object
) -> e.Rechecked:
    return e.Rechecked(
        **common(session, stamp, prompt, *noted),
        step=prompt.where.id,
        attempt=prompt.where.attempt,
        pass_no=prompt.pass_no,
        method=prompt.method,
        tool=prompt.tool.id,
        adapter=prompt.aim.adapter_id,
        window=ends(prompt.window) if prompt.window != (None, None) else None,
        **more,  # type: ignore[arg-type]
    )


paper = rechecking
