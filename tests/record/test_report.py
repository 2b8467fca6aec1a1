"""The printed report as a file: what it carries, what it says of itself, and that no text can break it."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from datetime import UTC, datetime
from decimal import Decimal
from io import BytesIO
from pathlib import Path

import pikepdf
import pypdf
import pytest

from clampbook.procedure.model import Group, Tighten
from clampbook.record import report
from clampbook.record.pages.signs import DRAWN
from clampbook.record.record import build
from clampbook.record.sealed import attachments
from clampbook.run import events as e
from clampbook.run.plan import encode
from clampbook.work.frozen import RecordFault
from walks import Files, bad_day

from .daybooks import Daybook
from .head import PROCEDURE, THIRTY, W5, a_plan

MOST_FOR_TEN_THOUSAND = 3_000_000  # bytes


@dataclass(frozen=True)
class Printed:
    """A report with the files that it was made from."""

    files: Files
    record: bytes
    pdf: bytes


@pytest.fixture(scope="module")
def printed() -> Printed:
    """The report of a bad day at the cylinder head."""
    files = bad_day()
    record = build(*files)
    return Printed(files, record, report.make(*files, record))


def of(day: Daybook) -> bytes:
    """The report of a daybook that a test wrote."""
    files = (PROCEDURE, encode(day.plan), day.data)
    return report.make(*files, build(*files))


def text(pdf: bytes) -> str:
    """All text of the pages, whatever the lines."""
    return " ".join(" ".join(page.extract_text() for page in pypdf.PdfReader(BytesIO(pdf)).pages).split())


def attached(pdf: bytes) -> dict[str, bytes]:
    """The attached files by name."""
    with pikepdf.open(BytesIO(pdf)) as opened:
        return {name: file.get_file().read_bytes() for name, file in opened.attachments.items()}


class TestTheFile:
    """One file is the whole archive."""

    def test_it_carries_the_runs_files_byte_for_byte(self, printed: Printed) -> None:
        """record.toml, procedure.toml, plan.json and daybook.jsonl come out as they went in."""
        names = ("procedure.toml", "plan.json", "daybook.jsonl")

        assert {"record.toml": printed.record, **dict(zip(names, printed.files, strict=True))} == attached(printed.pdf)

    def test_each_attached_file_says_what_it_is(self, printed: Printed) -> None:
        """Relationship and MIME type, as PDF/A-3 (ISO 19005-3, 6.8) asks for."""
        with pikepdf.open(BytesIO(printed.pdf)) as opened:
            found = {n: (str(f.relationship), f.get_file().mime_type) for n, f in opened.attachments.items()}

        assert {
            "record.toml": ("/Data", "application/toml"),
            "procedure.toml": ("/Source", "application/toml"),
            "plan.json": ("/Source", "application/json"),
            "daybook.jsonl": ("/Source", "application/x-ndjson"),
        } == found

    def test_signatures_are_attached_too(self) -> None:
        """Whatever belongs to the run goes with it."""
        files = bad_day()
        more = {"signoff-1.txt": b"performed\n", "signoff-1.txt.sig": b"-----BEGIN\n"}

        found = attached(report.make(*files, build(*files), more))

        assert more == {name: found[name] for name in more}

    def test_its_metadata_says_pdf_a_3(self, printed: Printed) -> None:
        """Part 3, conformance B."""
        with pikepdf.open(BytesIO(printed.pdf)) as opened, opened.open_metadata() as metadata:
            assert ("3", "B") == (metadata["pdfaid:part"], metadata["pdfaid:conformance"])

    def test_its_date_is_that_of_the_daybooks_end(self, printed: Printed) -> None:
        """Not that of the day on which it is printed."""
        closed = datetime.fromisoformat(tomllib.loads(printed.record.decode())["closed_at"]).astimezone(UTC)

        with pikepdf.open(BytesIO(printed.pdf)) as opened:
            assert f"D:{closed:%Y%m%d%H%M%S}Z" == str(opened.docinfo["/CreationDate"])

    def test_the_same_run_gives_the_same_bytes(self, printed: Printed) -> None:
        """Printing again changes nothing."""
        assert printed.pdf == report.make(*printed.files, printed.record)

    def test_every_typeface_is_in_the_file(self, printed: Printed) -> None:
        """Nothing of the machine it was made on is needed to read it."""
        embedded = [
            {"/FontFile2", "/FontFile3"} & set(font["/DescendantFonts"][0]["/FontDescriptor"].keys())
            for page in pikepdf.open(BytesIO(printed.pdf)).pages
            for font in page.resources["/Font"].values()
        ]

        assert embedded
        assert all(embedded)


class TestText:
    """Foreign text comes out as text."""

    @pytest.mark.parametrize(
        "written",
        [
            "#panic() and #set page(fill: red)",
            "*bold* _soft_ `raw` $x^2$ @ref <label>",
            "= no heading - no list // no comment /* none */",
            '"quoted" \\ backslash \\u{41} {{ }} [x]',
            "Größe ≤ 5 µm, Łódź, Ωμέγα, Ёлка",
        ],
    )
    def test_markup_is_shown_and_not_obeyed(self, written: str) -> None:
        """A note is read sign by sign."""
        assert written in text(of(_noted(written)))

    @pytest.mark.parametrize(
        ("written", "shown"),
        [
            ("bell \a and \x1b[31m", "bell \\u{7} and \\u{1b}[31m"),
            ("turned \u202e around", "turned \\u{202e} around"),
            ("two\nlines", "two\\u{a}lines"),
            ("nothing\u200b here", "nothing\\u{200b} here"),
            ("hot 🔥 bolt", "hot U+1F525 bolt"),
            ("李 is here", "U+674E is here"),
            ("\U000e0041 tag", "\\u{e0041} tag"),
        ],
    )
    def test_what_cannot_be_seen_or_drawn_is_written_out(self, written: str, shown: str) -> None:
        """Nobody has to guess what stood there."""
        assert shown in text(of(_noted(written)))

    def test_a_script_that_runs_from_right_to_left_fails_nothing(self) -> None:
        """What the typeface has is drawn; what it has not is written out."""
        found = text(of(_noted("שלום مرحبا end")))

        assert "U+05E9 U+05DC U+05D5 U+05DD" in found
        assert "end" in found

    def test_every_sign_that_is_said_to_be_drawn_can_be_drawn(self) -> None:
        """In bold as a title and upright as a note; a sign without a glyph would stop a PDF/A-3 from being made."""
        signs = "".join(map(chr, sorted(DRAWN)))
        day = Daybook(a_plan(title=signs))
        day.add(e.Noted, text=signs, step=None)

        assert of(day).startswith(b"%PDF-")

    def test_long_words_stay_on_the_page(self) -> None:
        """A serial number without a blank is broken, and loses no sign."""
        word = "".join(f"{number:03}" for number in range(600))

        made = of(_noted(word))
        lines = [line for page in pypdf.PdfReader(BytesIO(made)).pages for line in page.extract_text().splitlines()]

        assert word in text(made).replace(" ", "")
        assert max(map(len, lines)) < 150  # signs across a page

    def test_every_text_of_a_plan_may_be_hostile(self) -> None:
        """Title, unit and joint are as foreign as a note."""
        hostile = "#let x = [*" * 3
        day = Daybook(a_plan(title=hostile, source=hostile, cautions=(hostile,)), equipment=hostile)
        day.add(e.CautionsRead, item="cautions", cautions=(hostile,))

        assert 4 <= text(of(day)).count(hostile)


class TestSize:
    """Ten thousand readings are still a file to send, and one that a screen reader can read."""

    def test_ten_thousand_readings_with_tags_stay_under_three_megabytes(self) -> None:
        """Five hundred bolts in twenty stages."""
        positions = tuple(str(number) for number in range(1, 501))
        group = Group(name="Hull bolts", positions=positions, order=positions)
        stages = tuple(
            Tighten(number=number, group=group.name, positions=positions, target=Decimal(30), window=THIRTY)
            for number in range(1, 21)
        )
        day = Daybook(a_plan(stages, (group,)))
        day.add(e.ToolTaken, tool=W5)
        for stage in stages:
            for position in positions:
                day.reading(f"{stage.number}.1/{position}", f"{28 + len(day.lines) % 4}.{len(day.lines) % 10}")

        pdf = of(day)

        assert len(pdf) < MOST_FOR_TEN_THOUSAND
        assert pypdf.PdfReader(BytesIO(pdf)).root_object["/StructTreeRoot"]
        assert day.data == attached(pdf)["daybook.jsonl"] == attachments.attached(pdf)["daybook.jsonl"]


class TestBeside:
    """The report lies beside the record, and is never in the way of it."""

    def test_it_is_written_into_the_runs_folder_with_its_signatures(self, tmp_path: Path) -> None:
        """Made from the frozen files; record.toml is made anew."""
        _folder(tmp_path)
        (tmp_path / "signoff-1.txt").write_bytes(b"performed by Ines\n")

        path = report.write(tmp_path)

        assert tmp_path / "report.pdf" == path
        assert b"performed by Ines\n" == attached(path.read_bytes())["signoff-1.txt"]

    def test_a_run_that_makes_no_report_is_told_in_a_sentence(self, tmp_path: Path) -> None:
        """What to do next stands in it, and no half file is left."""
        _folder(tmp_path)
        (tmp_path / "plan.json").write_bytes(b"{}")

        told = report.print_beside(tmp_path)

        assert told.startswith("No report: plan.json is not the file that this run was opened with")
        assert told.endswith(f"The record is saved. Try again with: clampbook report {tmp_path.name}")
        assert not (tmp_path / "report.pdf").exists()

    def test_not_even_an_error_of_the_program_stands_in_the_way_of_a_walks_end(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """The run is over and recorded; a report can be made another day."""
        _folder(tmp_path)
        nothing: dict[str, bytes] = {}
        monkeypatch.setattr(report, "of_folder", lambda *_: nothing["pages"])

        assert "unexpected error (KeyError: 'pages'). The record is saved." in report.print_beside(tmp_path)

    def test_a_record_that_is_none_is_refused(self) -> None:
        """With the file named."""
        with pytest.raises(RecordFault, match=r"record\.toml cannot be read"):
            report.make(*bad_day(), b"= =")


def _noted(note: str) -> Daybook:
    day = Daybook()
    day.add(e.Noted, text=note, step=None)
    return day


def _folder(folder: Path) -> None:
    for name, data in zip(("procedure.toml", "plan.json", "daybook.jsonl"), bad_day(), strict=True):
        (folder / name).write_bytes(data)


def test_letter_paper_carries_the_same_files(printed: Printed) -> None:
    """Eight and a half by eleven inches, at 72 points each; A4 is 210 by 297 mm."""
    letter = report.make(*printed.files, printed.record, paper="letter")
    sizes = [
        tuple(round(float(end)) for end in pypdf.PdfReader(BytesIO(pdf)).pages[0].mediabox[2:])
        for pdf in (letter, printed.pdf)
    ]

    assert [(612, 792), (595, 842)] == sizes
    assert attached(printed.pdf) == attached(letter)
