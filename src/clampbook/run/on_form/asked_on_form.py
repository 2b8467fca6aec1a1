"""The question of a step as it is put to a filled paper form: what stands there, and what to type where nothing does.

Every question of a run that is typed in from paper goes through here; what was done is told by the same answers and
lines as in a walk.
"""

from __future__ import annotations

from clampbook.ledger.stamp import Stamp
from clampbook.run import answers as a
from clampbook.run import prompts as ask
from clampbook.run.answers import Answer, Refused
from clampbook.run.gather.draft import Draft, Part
from clampbook.run.gather.keys import Keys
from clampbook.run.kinds.kind import Outcome
from clampbook.run.on_form import answering, asking, sentences
from clampbook.run.on_form.blank import left_blank
from clampbook.run.prompts import Prompt
from clampbook.run.question_of import own
from clampbook.run.session import Session
from clampbook.run.told.words import Words

HELP = (
    "+ says that the row is ticked or ringed. - says that nothing stands there.",
    "@9:14 tells another time than that of the round; what stands in the row can follow: @9:14 22.1.",
    "x says that the row is crossed out, a bad pull; its number can follow: x 22.1.",
    "/4 @9:15 and words types a row of “Deviations and decisions”: its bolt, its time, what stands there.",
)


def on_form(prompt: Prompt) -> bool:
    """True where a question is about what stands on a paper form; its times have a question of their own."""
    if isinstance(prompt, ask.StartSheet | ask.SignOff):
        return prompt.on_form
    if isinstance(prompt, ask.ReturnTool | ask.Finished | ask.Ended | ask.PaperTime):
        return False
    return prompt.where.on_form


def of_a_form(prompt: Prompt) -> bool:
    """The same with the time of a round, which is asked of a form as well."""
    return on_form(prompt) or isinstance(prompt, ask.PaperTime)


def keys(prompt: Prompt) -> Keys:
    """Give what can stand there: an answer, a tick, or nothing."""
    return asking.keys(prompt, own(prompt).keys(prompt))


def words(prompt: Prompt) -> Words:
    """The question about the form; nothing of it tells anybody to work."""
    return sentences.words(prompt, own(prompt).words(prompt))


def complete(prompt: Prompt, session: Session, begun: Answer, draft: Draft) -> Part | Refused | Answer:
    """The further parts of it, each of which may be missing on the form."""
    if isinstance(begun, a.Blank):
        return begun
    found = answering.complete(prompt, session, begun, draft) or own(prompt).complete(prompt, session, begun, draft)
    if isinstance(found, Part):
        return asking.moved_or_not(found)
    return sentences.refused(found) if isinstance(found, Refused) else found


def decide(session: Session, prompt: Prompt, answer: Answer, stamp: Stamp) -> Outcome:
    """The same line as the walk writes; or one that says that nothing stands there."""
    if _only_ticked(prompt, answer):
        answer = a.Blank(ticked=True)
    if isinstance(answer, a.Blank):
        return left_blank(session, prompt, answer, stamp)
    found = answering.decide(session, prompt, answer, stamp) or own(prompt).decide(session, prompt, answer, stamp)
    return sentences.refused(found) if isinstance(found, Refused) else found


def _only_ticked(prompt: Prompt, answer: Answer) -> bool:
    """True where the deed is told and no figure with it: nobody waits now, and a click is worth what nobody set."""
    if isinstance(prompt, ask.Wait):
        return isinstance(answer, a.Plus | a.GoOnEarly)
    return isinstance(prompt, ask.Tighten) and isinstance(answer, a.Plus) and prompt.set_to is None
