"""The files that a report carries, read out of the PDF, and held against those beside it.

Whoever looks at the report later uses a viewer that picks its own way through a PDF. So one that could show other files
to another reader is refused: nothing is repaired, nothing may be added after it was printed, both lists of files must
name the same ones, and no page may have one of its own.
"""

from __future__ import annotations

import zlib
from collections.abc import Iterator, Mapping, Set
from io import BytesIO
from typing import TYPE_CHECKING, Any

from clampbook.faults import Fault
from clampbook.record.sealed.names import REPORT
from clampbook.record.sealed.told import fault
from clampbook.work.frozen import RecordFault

if TYPE_CHECKING:
    from pikepdf import Pdf

_MOST = 400_000_000  # bytes of one file
_IN_PLACE = (0, 0)  # the number of an object that stands in a list itself, so that two lists can hold two of them
_BEGIN, _END = b"%PDF-", b"%%EOF"


def attached(pdf: bytes) -> dict[str, bytes]:
    """The attached files by name. Raises RecordFault where the PDF is not as a report is written."""
    import pikepdf  # only where a report is held against its run

    try:
        if not pdf.startswith(_BEGIN) or not pdf.rstrip().endswith(_END):
            raise ValueError("it does not begin and end as a PDF does")
        with pikepdf.open(BytesIO(pdf), attempt_recovery=False, inherit_page_attributes=False) as opened:
            found = _carried(opened)
            if warnings := opened.get_warnings():
                raise ValueError(str(warnings[0]))
            return found
    except (pikepdf.PdfError, ValueError, TypeError, LookupError, AttributeError, RecursionError, zlib.error) as error:
        raise RecordFault(f"report.pdf cannot be read as it was written ({error}).") from error


def carried_faults(files: Mapping[str, bytes], due: Set[str]) -> Iterator[Fault]:
    """Find where the report does not carry every file that was `due` when it was printed, byte for byte, and no
    other."""
    try:
        carried = attached(files[REPORT])
    except RecordFault as refused:
        yield fault("S513", REPORT, refused.sentence)
        return
    for name in sorted(due | carried.keys()):
        if name not in carried:
            yield fault("S513", REPORT, f"it does not carry {name}")
        elif name not in files:
            yield fault("S513", REPORT, f"it carries {name}, which is not there")
        elif carried[name] != files[name]:
            yield fault("S513", REPORT, f"it carries another {name} than the one beside it")


def _carried(pdf: Pdf) -> dict[str, bytes]:
    """The files that the one list of a report names, where no other list and no page has more. Raises ValueError."""
    if "/Prev" in pdf.trailer or "/XRefStm" in pdf.trailer:
        raise ValueError("it was added to after it was printed")
    if pdf.is_encrypted:
        raise ValueError("it is locked")
    listed = _listed(pdf)
    also = sorted(each.objgen for each in pdf.Root.get("/AF", ()))
    if also != sorted(spec.objgen for spec in listed.values()) or _IN_PLACE in also:
        raise ValueError("its two lists of files differ")
    for page in pdf.pages:
        if "/AF" in page.obj or any("/FS" in note for note in page.obj.get("/Annots", ())):
            raise ValueError("one of its pages carries a file of its own")
    return {name: _bytes(name, _file_of(name, spec)) for name, spec in listed.items()}


def _listed(pdf: Pdf) -> dict[str, Any]:
    """The list of files: one leaf, as it is written, where each name stands once."""
    from pikepdf import Dictionary

    tree = pdf.Root.get("/Names", Dictionary()).get("/EmbeddedFiles")
    if tree is None:
        return {}
    if "/Kids" in tree:
        raise ValueError("its list of files is not in one piece")
    row = list(tree.get("/Names", ()))
    found = {str(name): spec for name, spec in zip(row[::2], row[1::2], strict=True)}
    if 2 * len(found) != len(row):
        raise ValueError("its list of files names one twice")
    return found


def _file_of(name: str, spec: Any) -> Any:
    """The stream of a file, which must be the same by every key that a viewer may take it by."""
    if any(str(spec[key]) != name for key in ("/F", "/UF") if key in spec):
        raise ValueError(f"{name} has another name in it")
    streams = list(spec["/EF"].values())
    if not streams or any(each.objgen != streams[0].objgen for each in streams):
        raise ValueError(f"{name} stands for more than one file")
    return streams[0]


def _bytes(name: str, stream: Any) -> bytes:
    """The whole file; unpacked here, with an end, for a few bytes can unpack to more than any disk holds."""
    if stream.get("/F") is not None or stream.get("/DecodeParms") is not None:
        raise ValueError(f"{name} is not packed as it was written")
    packing, data = stream.get("/Filter"), stream.read_raw_bytes()
    if packing is None:
        return bytes(data)
    if packing != "/FlateDecode":
        raise ValueError(f"{name} is not packed as it was written")
    unpacking = zlib.decompressobj()
    whole = unpacking.decompress(data, _MOST)
    if not unpacking.eof or unpacking.unused_data:
        raise ValueError(f"{name} is not whole")
    return whole
