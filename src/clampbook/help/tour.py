"""The notes of the tour: what is seen at a question for the first time, and what to press."""

from __future__ import annotations

from dataclasses import dataclass

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
_CAUTIONS = Note("cautions", "Cautions come first. Press + when you have read them. Each answer is saved at once.")
_START = Note(
    "start",
    "The start checklist. The engine is invented: type any text or number, then Enter. - leaves out what is not"
    " required.",
)
_CLICK = Note(
    "click",
    "The first line says what to do. Large: the number for the tool. In the frame: the bolt. Below: the joint,"
    " ○ clicked, · to do. Wait as long as a slow pull takes, then press +.",
)
_READING = Note("reading", "This tool shows its torque. Pull on air, then type a reading, such as the target.")
_HOLD_POINT = Note("hold point", "A hold point: another person looks and answers. Here too somebody else is asked for.")
_OTHERS: dict[type[ask.Prompt], Note] = {  # a question that is not named here needs none
    ask.TakeTool: Note("tool", "Tools that suit come first, below each its reasons. Type a number, then Enter."),
    ask.ZeroTool: Note("zero", "With no load a tool must read zero. What is seen is typed: 1, then Enter."),
    ask.SetTool: Note(
        "set", "The number for the tool. Set it, type what its scale shows, here the same, and choose the unit."
    ),
    ask.Measure: Note("measure", "Between two stages something is measured. Type a number inside its window."),
    ask.Turn: Note(
        "turn", "Now by an angle. Type the degrees that the gauge shows. F3 turns the map to where you stand."
    ),
    ask.Decide: Note(
        "decision", "A value is outside its window. You choose what is done about it. The record has it all."
    ),
    ask.SignOff: Note("sign-off", "Somebody signs for the work. Without a key the name is typed, and proves nothing."),
    ask.Finished: Note("end", "All is done. Close the run: record and report then lie in the book, under Records."),
}


def note_at(prompt: ask.Prompt) -> Note | None:
    """The note about this question; None where it needs none."""
    if isinstance(prompt, ask.StartSheet):
        at_start = _CAUTIONS if prompt.item == "cautions" else _START
        return at_start if prompt.when == "start" else None
    if isinstance(prompt, ask.Tighten):
        return _READING if prompt.reading else _CLICK
    if isinstance(prompt, ask.Inspect):
        return _HOLD_POINT if prompt.hold_point else None
    return _OTHERS.get(type(prompt))
