"""The notes of the tour: what is seen at a question for the first time, and what to press."""

from __future__ import annotations

from dataclasses import dataclass
from typing import assert_never

from clampbook.run import prompts as ask


@dataclass(frozen=True, slots=True)
class Note:
    """A note. `place` is what it is about: each is shown once."""

    place: str
    text: str


BENCH = Note(
    "bench",
    "This is the bench: what is open, what can be started, tools and records. Choose the cylinder head under Start:"
    " its number, then Enter.",
)


def note_at(prompt: ask.Prompt) -> Note | None:
    """The note about this question; None where it needs none."""
    match prompt:
        case ask.StartSheet(when="start") if prompt.item == "cautions":
            return Note(
                "cautions", "Cautions come first. Press + when you have read them. Each answer is saved at once."
            )
        case ask.StartSheet(when="start"):
            return Note(
                "start",
                "The start checklist. The engine is invented: type any text or number, then Enter. - leaves out what is"
                " not required.",
            )
        case ask.TakeTool():
            return Note("tool", "Tools that suit come first, below each its reasons. Type a number, then Enter.")
        case ask.ZeroTool():
            return Note("zero", "With no load a tool must read zero. What is seen is typed: 1, then Enter.")
        case ask.SetTool():
            return Note(
                "set",
                "The number for the tool. Set it, type what its scale shows, here the same, and choose the unit.",
            )
        case ask.Tighten() if prompt.reading:
            return Note("reading", "This tool shows its torque. Pull on air, then type a reading, such as the target.")
        case ask.Tighten():
            return Note(
                "click",
                "The first line says what to do. Large: the number for the tool. In the frame: the bolt. Below:"
                " the joint, ○ clicked, · to do. Wait as long as a slow pull takes, then press +.",
            )
        case ask.Measure():
            return Note("measure", "Between two stages something is measured. Type a number inside its window.")
        case ask.Turn():
            return Note(
                "turn", "Now by an angle. Type the degrees that the gauge shows. F3 turns the map to where you stand."
            )
        case ask.Inspect() if prompt.hold_point:
            return Note(
                "hold point", "A hold point: another person looks and answers. Here too somebody else is asked for."
            )
        case ask.Decide():
            return Note(
                "decision", "A value is outside its window. You choose what is done about it. The record has it all."
            )
        case ask.SignOff():
            return Note("sign-off", "Somebody signs for the work. Without a key the name is typed, and proves nothing.")
        case ask.Finished():
            return Note("end", "All is done. Close the run: record and report then lie in the book, under Records.")
        case (
            ask.StartSheet()
            | ask.Align()
            | ask.Loosen()
            | ask.Apply()
            | ask.Mark()
            | ask.Inspect()
            | ask.Wait()
            | ask.Recheck()
            | ask.BackOff()
            | ask.BackAtMark()
            | ask.Confirm()
            | ask.StepState()
            | ask.DrawSample()
            | ask.ReturnTool()
            | ask.PaperTime()
            | ask.Ended()
        ):
            return None
        case _ as never:
            assert_never(never)
