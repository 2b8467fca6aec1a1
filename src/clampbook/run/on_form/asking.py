"""The keys of a question about a paper form: what can stand there, a tick, or nothing."""

from __future__ import annotations

from dataclasses import replace as with_

from msgspec.structs import replace

from clampbook.run import prompts as ask
from clampbook.run.answers import Blank, Plus, TakeUp, Ticked, Zero
from clampbook.run.gather.draft import NONE, Part
from clampbook.run.gather.keys import BAD_PULL, PLUS, Keys
from clampbook.run.in_hand.measuring import NOT_LISTED
from clampbook.run.in_hand.on_paper import NOT_ON_FORM
from clampbook.run.kinds.recheck import MOVED_OR_NOT
from clampbook.run.prompts import Choice, Prompt
from clampbook.run.questions.typed_in import WHO_TYPED

NOTHING = Choice(NONE, "nothing stands there", "nothing", Blank())
TICK = Choice(PLUS, "a ring or tick, no number", "ticked", Blank(ticked=True))
_DECIDED_FIRST = "Choose first what was done, by its number. The next number of the row is asked for then."
_ONE_TICK = "a ring or tick"
_NOW = ("go_on_early", "leave_out", "leave_open", "leave_others_open", BAD_PULL)  # said at the work, not on a form
_TICKED = ("done", "loose", "read")
_NONE_SEEN = MOVED_OR_NOT[0].text


def keys(prompt: Prompt, own: Keys) -> Keys:
    """The keys for what stands on the form; `own` are those of the same question at the work."""
    if isinstance(prompt, ask.Decide):  # it was done: nobody weighs now what it costs
        told = tuple(replace(each, costs="") for each in own.choices)
        return replace(own, choices=told, strays=False, no_number=_DECIDED_FIRST)
    if isinstance(prompt, ask.SignOff) and prompt.role == WHO_TYPED:
        return own
    if isinstance(prompt, ask.Wait):
        return Keys((TICK, NOTHING), "number", "the time", strays=False)
    if isinstance(prompt, ask.Tighten) and prompt.last_value is not None:
        other = f"the other reading in {prompt.tool.unit}"
        return Keys((replace(NOTHING, text="no other reading"),), "number", other, strays=False)
    if isinstance(prompt, ask.TakeTool) and prompt.need == "measure" and not prompt.offers:
        return Keys((_nothing(prompt),), types="text", wanted="what stands on the form", deliberate=True)
    tick = _tick(prompt)
    kept = tuple(each for each in own.choices if each.value not in _NOW and each.key != NONE)
    if tick is not None:
        kept = (tick, *(each for each in kept if each.key != PLUS))
    kept = tuple(map(_on_paper, kept))
    if isinstance(prompt, ask.StartSheet) and len(prompt.lines) > 1:
        kept = (replace(kept[0], text="all ticked"), Choice("2", "some ticked", "some_ticked", Ticked()))
    wanted = None if own.wanted is None else own.wanted.removeprefix("what ").replace(f"{NOT_ON_FORM.name}'s", "the")
    return replace(own, choices=(*kept, _nothing(prompt)), wanted=wanted, strays=False, no_number=_no_number(prompt))


def moved_or_not(part: Part) -> Part:
    """The same question about movement, with the answers that a form has for it."""
    return with_(part, choices=tuple(map(_on_paper, part.choices))) if part.name == "moved" else part


def _on_paper(choice: Choice) -> Choice:
    """An answer in the words of a form: nobody sees now what was done or moved."""
    if choice.text == _NONE_SEEN:
        return replace(choice, text="no movement")
    return replace(choice, text=_ONE_TICK) if choice.text in _TICKED else choice


def _nothing(prompt: Prompt) -> Choice:
    """The key for a place that is blank; of a tool, its zero and a name that is told by a line of its own kind."""
    if isinstance(prompt, ask.TakeTool):
        tool = NOT_LISTED if prompt.need == "measure" else NOT_ON_FORM
        return Choice(NONE, "none stands there", "none", TakeUp(tool.id))
    if isinstance(prompt, ask.ZeroTool):
        return Choice(NONE, NOTHING.text, "not_written", Zero("not written"))
    return replace(NOTHING, text="no name stands there") if isinstance(prompt, ask.SignOff) else NOTHING


def _no_number(prompt: Prompt) -> str:
    """Say what to do with a number beside a tool that shows none."""
    if not isinstance(prompt, ask.Tighten) or prompt.reading:
        return ""
    return f"{prompt.tool.name} shows no number. Press + for a ring or tick, / for a note, *8 for another tool."


def _tick(prompt: Prompt) -> Choice | None:
    """A ring or tick where there is one; it tells of no torque where nobody knows what a tool was set to, and of no
    number where one was to be written."""
    if isinstance(prompt, ask.Turn) and prompt.by_marks:
        return Choice(PLUS, _ONE_TICK, "at_mark", Plus())
    if isinstance(prompt, ask.Tighten) and not prompt.reading:
        return replace(TICK, text=_ONE_TICK) if prompt.set_to is None else Choice(PLUS, _ONE_TICK, "clicked", Plus())
    number = isinstance(prompt, ask.Tighten | ask.Turn | ask.Measure) or (
        isinstance(prompt, ask.Recheck) and prompt.reading
    )
    return TICK if number else None
