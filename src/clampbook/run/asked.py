"""The parts of a prompt for whoever shows it: what can be typed, the one sentence, and the short lines under it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from msgspec.structs import replace

from clampbook.run.gather.keys import Keys
from clampbook.run.on_form import asked_on_form
from clampbook.run.progress import LOOKING_BACK, OF_PARTS
from clampbook.run.prompts import Decide, Ended, Finished, Prompt, ReturnTool, SignOff, StartSheet, TakeTool, Where
from clampbook.run.question_of import own
from clampbook.run.told.left_before import at_the_bolt
from clampbook.run.told.places import briefly, within_a_sentence
from clampbook.run.told.samples import drawn
from clampbook.run.told.words import Words

if TYPE_CHECKING:
    from clampbook.run.kinds.protocol import Question


def question(prompt: Prompt) -> Question[Any]:
    """The module that asks this: at the work, or what stands of it on a paper form."""
    return asked_on_form if asked_on_form.on_form(prompt) else own(prompt)


def keys(prompt: Prompt) -> Keys:
    """Give what can be typed at this prompt itself, the menu left aside."""
    return question(prompt).keys(prompt)


def words(prompt: Prompt) -> Words:
    """Give what is shown of it."""
    return question(prompt).words(prompt)


def in_short(prompt: Prompt) -> Prompt:
    """The same prompt, its bolt named in one word, for a narrow screen."""
    where = where_of(prompt)
    return prompt if where is None else replace(prompt, where=briefly(where))


def over(prompt: Prompt) -> bool:
    """True where nothing more is asked."""
    return isinstance(prompt, Ended)


def outcome(prompt: Prompt) -> str | None:
    """Tell how the run ended, or how it stands until another day; None where something is asked."""
    return prompt.outcome if isinstance(prompt, Ended) else None


def on_the_sheet(prompt: Prompt) -> bool:
    """True where an item of the sheet at the start or the end is asked, before or after all work."""
    return isinstance(prompt, StartSheet)


def wants_a_tool(prompt: Prompt) -> bool:
    """True where tools are listed to be taken up."""
    return isinstance(prompt, TakeTool)


def only_closing(prompt: Prompt) -> bool:
    """True where all is done but closing the run."""
    return isinstance(prompt, Finished)


def about_a_line(prompt: Prompt) -> bool:
    """True where a decision is asked about what was written last."""
    return isinstance(prompt, Decide)


def sentence(prompt: Prompt) -> str:
    """Say what is to be done now, in one sentence that can be read out loud."""
    return words(prompt).sentence


def details(prompt: Prompt) -> tuple[str, ...]:
    """The lines under its sentence."""
    return under(words(prompt), where_of(prompt))


def under(words: Words, where: Where | None) -> tuple[str, ...]:
    """Give what a person may want to know before answering, one matter a line, the place in the work last."""
    return (*words.matters, *(() if where is None else _of_the_step(where)))


def where_of(prompt: Prompt) -> Where | None:
    """The place in the work of a prompt; None where it has none, as a question about parts."""
    if isinstance(prompt, StartSheet | ReturnTool | SignOff | Finished | Ended):
        return None
    return None if isinstance(prompt, Decide) and prompt.cause in OF_PARTS else prompt.where


def _of_the_step(where: Where) -> tuple[str, ...]:
    lines = [line for line in (where.fits and f"fastener: {where.fits}", where.note) if line]
    lines += drawn(where.drawn)
    lines += at_the_bolt(where.left_before)
    if where.begun_again:
        lines.append(f"started over, attempt {where.begun_again + 1}")
    if where.manual:
        lines.append(f"manual: {where.manual}")
    return (*lines, step_line(where))


def step_line(where: Where) -> str:
    """ "step 3 of 54, stage 1", and for inserted work "again 2 of 3" with what it was inserted for; what is looked back
    at is of no stage."""
    if where.again is not None and where.reason == LOOKING_BACK:
        return step_of(where)
    line = f"step {where.number} of {where.of}, stage {where.stage_told}{_joint_beside(where)}"
    if where.again is None:
        return line
    why = "" if where.reason is None else f" ({where.reason})"
    return f"{line}, {inserted(where, where.again)}{why}"


def _joint_beside(where: Where) -> str:
    return "" if where.joint is None else f", {within_a_sentence(where.joint)}"


def inserted(where: Where, again: tuple[int, int]) -> str:
    """Say how far work is that was inserted before the step: "again 2 of 3"; looking back does nothing again."""
    number, of = again
    return f"{LOOKING_BACK if where.reason == LOOKING_BACK else 'again'} {number} of {of}"


def step_of(where: Where) -> str:
    """ "step 3 of 54"; while looking back that step is still to come, "looking back 1 of 2, then step 3 of 54"."""
    step = f"step {where.number} of {where.of}"
    if where.again is None:
        return step
    back = where.reason == LOOKING_BACK
    return f"{inserted(where, where.again)}, then {step}" if back else f"{step}, {inserted(where, where.again)}"
