"""Help at a question about a new procedure: where its answer stands in the file, and which keys there are."""

from __future__ import annotations

from clampbook.help.keys import explain, header_of
from clampbook.procedure.guided.questions import Question, place_of


def in_the_file(asked: Question) -> tuple[str, ...]:
    """Tell where an answer stands in the file, with the words of the reference."""
    table, key = place_of(asked)
    known = explain(table, key)
    if known is None:
        return ()
    below = f", below {header}" if (header := header_of(table)) else ""
    return (
        f"# {asked.text}",
        f"In the file it stands under {key}{below}.",
        known.says,
        *(f"Such as: {each}" for each in known.examples),
        "",
        "# Answers",
    )


HELP_LINES = (
    "Answer from the manual's page. What you leave out stands in the file as a comment, and no value is made up.",
    "The joint is drawn as you answer. Compare it with the manual: where number 1 stands, and which way they count.",
    "At the end the file is saved among the procedures as a draft, and opened.",
    "",
    "# Keys",
    "Enter saves an answer. On an empty field it leaves the answer out. End leaves out all the rest.",
    "Esc, ↑, or Backspace on an empty field goes one question back. An answer shown reversed is replaced as you type.",
    "Press → to edit it instead. Type - to leave out what was answered.",
    "Where choices are listed, type a number.",
)
