"""A long report made small: its many little objects, above all the tags for screen readers, share packed streams.

The typesetter writes each object by itself, some six hundred bytes of tags a reading; packed they are below a hundred.
"""

from __future__ import annotations

from io import BytesIO

MOST_AS_SET = 1_000_000  # bytes; a report below is light enough, and packing would only keep people waiting


def packed(pdf: bytes) -> bytes:
    """The same pages, tags and attached files in fewer bytes; the same input gives the same bytes."""
    if len(pdf) <= MOST_AS_SET:
        return pdf
    import pikepdf  # only where a long report is made

    small = BytesIO()
    with pikepdf.open(BytesIO(pdf)) as opened:
        opened.save(small, object_stream_mode=pikepdf.ObjectStreamMode.generate, deterministic_id=True)
    return small.getvalue()
