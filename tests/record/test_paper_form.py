"""The paper form for where no laptop can go: the same steps, with room to write what the walk asks for."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from io import BytesIO
from pathlib import Path

import pikepdf
import pypdf
import pytest
from msgspec.structs import replace

from clampbook import cli
from clampbook.demo import samples
from clampbook.procedure.reader import read_file
from clampbook.record.form.blocks import Box, Boxes, Ending, Head, Rows, Section, StageHead
from clampbook.record.form.picture import captions
from clampbook.record.paper_form import blocks, pdf
from clampbook.record.report import Paper
from clampbook.run.plan import Plan
from clampbook.run.planning import plan
from museum import museum

from .on_the_form import rows_and_boxes, without_a_place

ROOT = Path(__file__).parents[2]
SAMPLES = sorted((ROOT / "procedures").glob("*.toml"))
OTHERS = [ROOT / "tests" / f"{name}.toml" for name in ["injectors", "cap-bolts", "propeller"]]
MADE = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
LEAST = 8  # points, for a copy of a copy
PAGES = {  # on A4 and Letter; with a table for each round it was twice as many
    "shaft-flange-16": (2, 2),
    "whinchat-coupling-flange": (2, 2),
    "whinchat-crank-caps": (2, 2),
    "whinchat-pattern-c-head": (2, 2),
    "exhaust-flange": (2, 2),
    "injectors": (1, 2),
    "fuel-unions": (1, 1),
    "alternator-belt": (1, 1),
    "cap-bolts": (1, 1),
    "propeller": (1, 1),
}
PAPERS: tuple[Paper, ...] = ("a4", "letter")


def planned(name: str, **terms: bool) -> Plan:
    """The plan of a sample of the demo, or of another procedure here."""
    path = next(path for path in (*samples(), *OTHERS, *SAMPLES) if name in path.name)
    return plan(read_file(path)[0], "head", **terms)  # type: ignore[arg-type]


@pytest.mark.parametrize("path", (*SAMPLES, *OTHERS), ids=lambda path: path.stem)
def test_every_step_has_its_place(path: Path) -> None:
    """Whatever the procedure: bolt by bolt, round by round, set by set, or joint by joint."""
    of = plan(read_file(path)[0], "form")

    assert [] == without_a_place(of, rows_and_boxes(of))


def test_a_stage_without_its_rows_would_be_noticed() -> None:
    """The test above does look."""
    of = planned("head")
    found = [each for each in rows_and_boxes(of) if 6 not in each[0]]

    assert ["6.1/11", "6.1/14", "6.1/12", "6.1/13"] == without_a_place(of, found)


@pytest.mark.parametrize("name", PAGES)
def test_it_has_half_the_pages_of_a_table_for_each_round(name: str) -> None:
    """The caps alone had three on A4, and have two: each of their boxes is a pull of its own."""
    made = (pdf(planned(name), b"", made=MADE, paper=paper) for paper in PAPERS)

    pages = [pypdf.PdfReader(BytesIO(each)).pages for each in made]
    assert PAGES[name] == tuple(map(len, pages))
    assert all(f"page {len(each)} of {len(each)}" in each[-1].extract_text() for each in pages)


@pytest.mark.parametrize("name", PAGES)
def test_it_can_be_read_as_a_third_copy(name: str) -> None:
    """Black on white, and nothing smaller than 8 points."""
    sizes: set[float] = set()
    colours: set[tuple[float, ...]] = set()
    with pikepdf.open(BytesIO(pdf(planned(name), b"", made=MADE))) as opened:
        for page in opened.pages:
            for each in pikepdf.parse_content_stream(page):
                if str(each.operator) == "Tf":
                    sizes.add(float(each.operands[1]))
                if str(each.operator) in ("g", "G", "rg", "RG", "sc", "SC", "scn", "SCN", "k", "K"):
                    colours.add(tuple(float(one) for one in each.operands))

    assert min(sizes) >= LEAST
    assert all(set(colour) == {0.0} for colour in colours), colours


def test_target_window_and_direction_stand_in_words_at_each_stage() -> None:
    """The whole instruction, in both units."""
    first = next(each for each in blocks(planned("head")) if isinstance(each, StageHead))

    assert "1  Tighten to 30.0 N·m (22.1 lbf·ft)" == first.text
    assert "window 28.0 to 32.0 N·m (20.7 to 23.6 lbf·ft) · Head bolts · manual: step 4" == first.aside
    assert ("Clockwise: pull slowly to one click, or to the target on the scale.",) == first.lines


def test_a_left_hand_thread_is_pulled_the_other_way() -> None:
    """In the head of its stages, and by an L in the picture."""
    first = next(each for each in blocks(planned("propeller")) if isinstance(each, StageHead))

    assert ("Counterclockwise: pull slowly to one click, or to the target on the scale.",) == first.lines
    assert "left-hand: counterclockwise, seen from the tool" in first.aside


def test_cautions_and_preparations_come_before_the_work_and_signatures_after() -> None:
    """In the order in which they are needed at the bench."""
    found = list(blocks(planned("head")))
    heads = [each.text for each in found if isinstance(each, Section) and each.text]
    ending = found[-1]

    assert ["Cautions", "Prepare: Head bolts", "Fasteners", "Tools", "What decides"] == heads
    assert isinstance(ending, Ending)
    assert ("Deviations and decisions", "Stage, position", "Time") == (ending.text, *ending.head[:2])
    assert ["At the end", "Sign-offs"] == [each.text for each in ending.after if isinstance(each, Section)][:2]


def test_a_tool_has_room_for_its_zero_before_and_after() -> None:
    """Whoever types it in later is asked for both."""
    tools = next(each for each in blocks(planned("head")) if isinstance(each, Rows))

    assert ("Tool", "Serial number", "Unit", "Calibration due", "Zero before", "Zero after") == tools.head


def test_whoever_did_the_work_stands_with_name_and_initials() -> None:
    """Three can; each pull is signed with initials, and whoever types it in must know whose they are."""
    who = next(each for each in blocks(planned("head")) if isinstance(each, Boxes))
    labels = [box.label for row in who.rows for box in row]

    assert (3, 3) == (labels.count("Done by"), labels.count("Initials"))


def test_a_round_of_a_recheck_stands_in_one_column() -> None:
    """The fourth round of the coupling flange does not end a column with its third bolt."""
    texts = _where(pdf(planned("coupling"), b"", made=MADE))
    begin = next(at for at, text in enumerate(texts) if text[1] == "6 Round 4")
    end = next(at for at, text in enumerate(texts) if at > begin and text[1] == "Initials")

    assert {"1", "12", "From", "To"} < {text[1] for text in texts[begin:end]}
    assert 1 == len({text[0] for text in texts[begin : end + 1]})


def test_the_picture_says_where_the_order_of_a_stage_stands() -> None:
    """Caps that are done one by one have boxes, and no table."""
    assert "Stages 2, 4: in the order of the boxes." in " ".join(captions(planned("crank")))


def test_who_looked_at_a_hold_point_signs_beside_the_time() -> None:
    """Five boxes are two and three, never four and one."""
    boxes = [each for each in blocks(planned("head")) if isinstance(each, Boxes)]
    (looked,) = (each for each in boxes if any(box.label == "Inspector" for row in each.rows for box in row))

    assert [["Answer", "Inspector"], ["Signature", "Time", "Initials"]] == [
        [box.label for box in row] for row in looked.rows
    ]


def test_what_is_written_below_its_name_has_a_line_of_its_own() -> None:
    """A name that takes two lines of a box leaves no room for a pencil."""
    boxes = [each for each in blocks(planned("coupling")) if isinstance(each, Boxes)]
    (across,) = (
        row for each in boxes for row in each.rows if row[0].label.startswith("Coupling bolts and nuts: count")
    )

    assert 1 == len(across)


def test_an_instrument_goes_up_to_the_most_that_is_allowed() -> None:
    """One that shows less than that could not tell what is over it."""
    heads = [each for each in blocks(planned("coupling")) if isinstance(each, StageHead)]

    assert [line for each in heads for line in each.lines if line.startswith("Instrument")] == [
        "Instrument: one that shows up to 0.05 mm, scale lines at most 0.006 mm apart."
    ]


def test_a_property_class_is_called_so() -> None:
    """A bare 10.9 could be anything; a grade says itself what it is."""
    of = planned("head")
    groups = tuple(replace(each, property_class="SAE grade 8") for each in of.groups)
    graded = replace(of, groups=groups)

    assert [" · property class 10.9 · engine oil", " · property class 8.8 · dry"] == _strengths(of)
    assert [" · SAE grade 8 · engine oil", " · SAE grade 8 · dry"] == _strengths(graded)


def _strengths(of: Plan) -> list[str]:
    fasteners = next(each for each in blocks(of) if isinstance(each, Section) and each.text == "Fasteners")
    return [found[0] for line in fasteners.lines if (found := re.search(r" · [^·]* · (engine oil|dry)", line))]


@pytest.mark.parametrize("name", ("propeller", "shaft", "coupling", "head"))
@pytest.mark.parametrize("more", (0, 6, 12, 18))
def test_a_stage_begins_where_its_table_does(name: str, more: int) -> None:
    """Whatever stands before it, nobody turns the page between what to do and the first bolt."""
    of = planned(name)
    of = replace(of, cautions=(*of.cautions, *(f"Further caution {each}." for each in range(more))))
    texts = _where(pdf(of, b"", made=MADE))
    titles = [at for at, text in enumerate(texts) if re.match(r"[0-9]+  (Tighten|Recheck|Turn by) ", text[1])]

    assert titles
    for title in titles:
        table = next(text for text in texts[title:] if text[1].startswith("Pos."))
        assert texts[title][0] == table[0], texts[title][1]


def _where(made: bytes) -> list[tuple[tuple[int, bool], str]]:
    """Each text with the page and whether it stands in the right column, in the order of reading."""
    found: list[tuple[tuple[int, bool], str]] = []
    for number, page in enumerate(pypdf.PdfReader(BytesIO(made)).pages):
        half = float(page.mediabox.width) / 2

        def note(text: str, at: list[float], *_: object, number: int = number, half: float = half) -> None:
            if text.strip():
                found.append(((number, at[4] > half), text.strip()))

        page.extract_text(visitor_text=note)
    return found


def test_a_draft_says_that_it_is_one() -> None:
    """On its first page, as the record would."""
    head = next(each for each in blocks(planned("head")) if isinstance(each, Head))

    assert ("Revision B, draft", ("Draft procedure.",)) == (head.revision, head.notices)


def test_a_trial_says_that_it_is_one() -> None:
    """It is not signed as a final one."""
    head = next(each for each in blocks(planned("head", trial=True)) if isinstance(each, Head))

    assert "Trial assembly, not final." in head.notices


def test_joints_in_turn_have_a_head_for_a_stage_and_boxes_for_each() -> None:
    """Six injectors: what to do stands once, where it is written stands six times."""
    found = list(blocks(planned("injectors")))
    heads = [each.text for each in found if isinstance(each, StageHead)]
    boxes = [box.label for each in found if isinstance(each, Boxes) for row in each.rows for box in row]

    assert "1  Tighten to 12.0 N·m (8.85 lbf·ft)" == heads[0]
    assert ("4  Look: leak-off pipe free?", 4) == (heads[-1], len(heads))
    assert [6] * 4 == [boxes.count(f"{stage} · {bolt} reading or ○") for stage in (1, 3) for bolt in (1, 2)]


def test_stages_in_another_order_than_their_group_are_named_beside_the_picture() -> None:
    """The coupling flange is tightened crosswise, then once around, and rechecked around."""
    *_, start = captions(planned("coupling"))

    assert start.endswith("start at 1, then 7, 4, 10 and so on. Stages 5, 6: in the order of the table.")


def test_each_page_with_bolts_shows_the_joint_and_names_the_procedure() -> None:
    """The picture stands with its stages; the foot says of which bytes the page is, of what, and which one it is."""
    pages = pypdf.PdfReader(BytesIO(pdf(planned("head"), b"", made=MADE))).pages
    texts = [" ".join(page.extract_text().split()) for page in pages]

    assert [1, 1] == [text.count("Seen from above. Head bolts: start at 1, then 2, 3, 4 and so on.") for text in texts]
    for number, text in enumerate(texts, start=1):
        assert "Code e3b0 c442 98fc 1c14, of the procedure’s file (SHA-256)" in text  # of no bytes at all
        assert f"page {number} of 2" in text
        assert "revision B, draft" in text
        assert all(name in text for name in ("Equipment", "Day", "Run"))


def test_it_is_a_pdf_of_either_paper(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Letter paper is 612 by 792 points."""
    into = tmp_path / "head.pdf"
    status = cli.status(["form", str(SAMPLES[-1]), "--into", str(into), "--paper", "letter"])

    page = pypdf.PdfReader(into).pages[0]
    assert (0, f"Paper form: {into}\n") == (status, capsys.readouterr().out)
    assert [612, 792] == [round(float(end)) for end in page.mediabox[2:]]


def test_chosen_tools_stand_on_the_form_with_what_they_are_set_to(tmp_path: Path) -> None:
    """By the names that stand on them; their serial numbers and due days are filled in."""
    into, book = tmp_path / "head.pdf", museum(tmp_path / "book")
    asked = ["form", "--book", str(book.root), "whinchat-pattern-c-head", "--into", str(into)]

    assert 0 == cli.status([*asked, "--tool", "W2", "--tool", "w1"])
    text = " ".join(pypdf.PdfReader(into).pages[0].extract_text().split())
    assert "Set W2 to 22.1 lbf·ft. Pull it slowly clockwise to one click." in text
    assert "HM-0031" in text


def test_a_tool_that_the_book_has_not_is_named(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """With those that it has; nothing is printed."""
    into, book = tmp_path / "head.pdf", museum(tmp_path / "book")
    asked = ["form", "--book", str(book.root), "whinchat-pattern-c-head", "--into", str(into)]

    assert 2 == cli.status([*asked, "--tool", "W3"])
    assert "No tool “W3” in this book. It has W1, W2, W5, W7, W9, G1, R1." in capsys.readouterr().err
    assert 2 == cli.status([*asked, "--tool", "W7+A9"])
    assert "No adapter “A9” in this book. It has A1." in capsys.readouterr().err
    assert not into.exists()


def test_the_same_form_has_the_same_bytes_and_attaches_nothing() -> None:
    """It is a form of a day and no record."""
    made = pdf(planned("head"), b"", made=MADE)

    assert made == pdf(planned("head"), b"", made=MADE)
    with pikepdf.open(BytesIO(made)) as opened:
        assert {} == dict(opened.attachments)


def test_a_file_with_errors_gives_no_form(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """What cannot be walked cannot be done on paper either."""
    faulty = tmp_path / "head.toml"
    faulty.write_text("format = 2\n", encoding="utf-8")

    assert 2 == cli.status(["form", str(faulty), "--into", str(tmp_path / "head.pdf")])
    assert "title" in capsys.readouterr().err
    assert not (tmp_path / "head.pdf").exists()


def test_a_choice_of_answers_has_its_boxes() -> None:
    """Ticked, not written."""
    found = [box for each in blocks(planned("crank")) if isinstance(each, Boxes) for row in each.rows for box in row]

    assert Box("Bearing shells", "□ new, standard    □ new, first undersize", 88) in found
