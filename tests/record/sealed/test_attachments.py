"""The files that a report carries: what a forger can do to them shows, whatever a viewer would make of it."""

from __future__ import annotations

import zlib
from collections.abc import Callable
from io import BytesIO

import pikepdf
import pytest
from pikepdf import Array, Dictionary, Name, Pdf

from clampbook.record import report
from clampbook.record.record import build
from clampbook.record.sealed.attachments import attached, carried_faults
from clampbook.work.frozen import RecordFault
from walks import bad_day

OTHER = b"another daybook\n"


@pytest.fixture(scope="module")
def files() -> dict[str, bytes]:
    """The report of a bad day at the cylinder head, and the files beside it."""
    procedure, plan, daybook = bad_day()
    record = build(procedure, plan, daybook)
    carried = {"procedure.toml": procedure, "plan.json": plan, "daybook.jsonl": daybook, "record.toml": record}
    return {**carried, "report.pdf": report.make(procedure, plan, daybook, record)}


def told(files: dict[str, bytes], pdf: bytes) -> list[str]:
    """What verifying says of this report beside those files."""
    return [each.text for each in carried_faults({**files, "report.pdf": pdf}, files.keys() - {"report.pdf"})]


def forged(pdf: bytes, forge: Callable[[Pdf], None]) -> bytes:
    """The report with something else in it, written anew as a whole."""
    out = BytesIO()
    with pikepdf.open(BytesIO(pdf)) as opened:
        forge(opened)
        opened.save(out, stream_decode_level=pikepdf.StreamDecodeLevel.none, compress_streams=False)
    return out.getvalue()


def daybook_in(pdf: Pdf) -> Dictionary:
    """The entry of the daybook in the list of files."""
    row = list(pdf.Root.Names.EmbeddedFiles.Names)
    found = row[1 + next(at for at, name in enumerate(row) if str(name) == "daybook.jsonl")]
    assert isinstance(found, Dictionary)
    return found


def test_a_report_carries_what_lies_beside_it(files: dict[str, bytes]) -> None:
    """Byte for byte, and nothing is said of it; so too when the same report is written anew by another program."""
    beside = {name: data for name, data in files.items() if name != "report.pdf"}

    assert beside == attached(files["report.pdf"]) == attached(forged(files["report.pdf"], lambda _: None))
    assert [] == told(files, files["report.pdf"])


def another(pdf: Pdf) -> None:
    """The daybook in it is another one."""
    daybook_in(pdf).EF.F.write(OTHER)


def left_out(pdf: Pdf) -> None:
    """The daybook is not in it."""
    del pdf.attachments["daybook.jsonl"]
    pdf.Root.AF = Array([each for each in pdf.Root.AF if str(each.F) != "daybook.jsonl"])


def one_more(pdf: Pdf) -> None:
    """A file that nobody knows is in it."""
    spec = pdf.make_indirect(pikepdf.AttachedFileSpec(pdf, b"later", filename="later.txt").obj)
    pdf.Root.Names.EmbeddedFiles.Names.extend([pikepdf.String("later.txt"), spec])
    pdf.Root.AF.append(spec)


@pytest.mark.parametrize(
    ("forge", "sentence"),
    [
        (another, "it carries another daybook.jsonl than the one beside it"),
        (left_out, "it does not carry daybook.jsonl"),
        (one_more, "it carries later.txt, which is not there"),
    ],
)
def test_other_files_in_it_are_told_by_name(
    files: dict[str, bytes], forge: Callable[[Pdf], None], sentence: str
) -> None:
    """What was changed in the report alone."""
    assert [sentence] == told(files, forged(files["report.pdf"], forge))


def by_its_second_key(pdf: Pdf) -> None:
    """A viewer that prefers the name in Unicode opens another daybook."""
    daybook_in(pdf).EF.UF = pdf.make_stream(OTHER, Type=Name.EmbeddedFile)


def under_another_name(pdf: Pdf) -> None:
    """The list calls it the daybook, and what is saved to disk has another name."""
    daybook_in(pdf).UF = "daybook-as-it-was.jsonl"


def in_the_second_list(pdf: Pdf) -> None:
    """Files of the whole document, as PDF/A-3 lists them, are others than those of the list by name."""
    pdf.Root.AF.append(pikepdf.AttachedFileSpec(pdf, OTHER, filename="daybook.jsonl").obj)


def in_place(pdf: Pdf) -> None:
    """Both lists hold an entry of their own and no number that says so."""
    row, spec = pdf.Root.Names.EmbeddedFiles.Names, daybook_in(pdf)
    other = Dictionary(Type=Name.Filespec, F="daybook.jsonl", EF=Dictionary(F=pdf.make_stream(OTHER)))
    pdf.Root.AF = Array([each if each.objgen != spec.objgen else other for each in pdf.Root.AF])
    at = next(at for at, each in enumerate(row) if str(each) == "daybook.jsonl")
    row[at + 1] = Dictionary(dict(spec.items()))


def named_twice(pdf: Pdf) -> None:
    """Two entries of one name: one viewer takes the first, another the last."""
    pdf.Root.Names.EmbeddedFiles.Names.extend(
        [pikepdf.String("daybook.jsonl"), pikepdf.AttachedFileSpec(pdf, OTHER, filename="daybook.jsonl").obj]
    )


def in_branches(pdf: Pdf) -> None:
    """The list in two pieces, of which a hasty reader takes one."""
    tree = pdf.Root.Names.EmbeddedFiles
    tree.Kids = Array([pdf.make_indirect(Dictionary(Names=tree.Names, Limits=Array(["a", "z"])))])


def on_a_page(pdf: Pdf) -> None:
    """A paper clip on page one, with another daybook behind it."""
    note = Dictionary(
        Type=Name.Annot,
        Subtype=Name.FileAttachment,
        Rect=Array([0, 0, 9, 9]),
        FS=pikepdf.AttachedFileSpec(pdf, OTHER, filename="daybook.jsonl").obj,
    )
    pdf.pages[0].obj.Annots = pdf.make_indirect(Array([pdf.make_indirect(note)]))


def packed_otherwise(pdf: Pdf) -> None:
    """Packed in a way that no report is, which not every reader unpacks alike."""
    daybook_in(pdf).EF.F.write(OTHER.hex().encode() + b">", filter=Name.ASCIIHexDecode)


def broken_off(pdf: Pdf) -> None:
    """Packed data that end too soon."""
    daybook_in(pdf).EF.F.write(zlib.compress(OTHER)[:-6], filter=Name.FlateDecode)


@pytest.mark.parametrize(
    "forge",
    [
        by_its_second_key,
        under_another_name,
        in_the_second_list,
        in_place,
        named_twice,
        in_branches,
        on_a_page,
        packed_otherwise,
        broken_off,
    ],
)
def test_a_report_that_viewers_would_read_in_two_ways_is_refused(
    files: dict[str, bytes], forge: Callable[[Pdf], None]
) -> None:
    """One of them shows what lies beside it; that is no proof when another shows something else."""
    found = told(files, forged(files["report.pdf"], forge))

    assert 1 == len(found)
    assert found[0].startswith("report.pdf cannot be read as it was written (")


def added_to(pdf: bytes) -> bytes:
    """A change in the way of PDF: a new object and a new table behind the end, the old bytes untouched."""
    with pikepdf.open(BytesIO(pdf)) as opened:
        number, root = daybook_in(opened).EF.F.objgen[0], opened.Root.objgen[0]
        size = int(opened.trailer.Size)
    before = pdf[pdf.rindex(b"startxref") :].split()[1]
    object = b"\n%d 0 obj<</Type/EmbeddedFile/Length %d>>stream\n%s\nendstream endobj\n" % (number, len(OTHER), OTHER)
    table = b"xref\n%d 1\n%010d 00000 n \n" % (number, len(pdf) + 1)
    trailer = b"trailer<</Size %d/Root %d 0 R/Prev %s>>\n" % (size, root, before)
    return pdf + object + table + trailer + b"startxref\n%d\n%%%%EOF\n" % (len(pdf) + len(object))


def test_a_report_that_was_added_to_is_refused(files: dict[str, bytes]) -> None:
    """All bytes of the report are still there, and a viewer shows the daybook behind its end."""
    changed = added_to(files["report.pdf"])
    with pikepdf.open(BytesIO(changed)) as opened:
        assert OTHER == opened.attachments["daybook.jsonl"].get_file().read_bytes()

    assert ["report.pdf cannot be read as it was written (it was added to after it was printed)."] == told(
        files, changed
    )


@pytest.mark.parametrize(
    "change",
    [
        lambda pdf: pdf[: len(pdf) // 2],
        lambda pdf: pdf[:-8],
        lambda _: b"",
        lambda pdf: b"#!/bin/sh\n" + pdf,
        lambda pdf: pdf + b"<html>",
        lambda pdf: pdf.replace(b"/Root", b"/Toor"),
        lambda pdf: pdf.replace(b"\nxref\n", b"\nxerf\n"),
        lambda pdf: pdf.replace(b"startxref\n", b"startxref\n1"),
    ],
    ids=["half", "no end", "empty", "something before it", "something behind it", "no root", "no table", "no place"],
)
def test_a_damaged_report_is_refused_and_never_repaired(
    files: dict[str, bytes], change: Callable[[bytes], bytes]
) -> None:
    """What a viewer would still show of it is its guess."""
    changed = change(files["report.pdf"])

    assert changed != files["report.pdf"]
    with pytest.raises(RecordFault, match="cannot be read as it was written"):
        attached(changed)


def test_a_locked_report_is_refused(files: dict[str, bytes]) -> None:
    """Nobody prints a report with a password, even one that is empty."""
    out = BytesIO()
    with pikepdf.open(BytesIO(files["report.pdf"])) as opened:
        opened.save(out, encryption=pikepdf.Encryption(owner="w2", user=""))

    assert 1 == len(told(files, out.getvalue()))
