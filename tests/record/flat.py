"""Blocks of a page in the order in which they are read, whatever stands beside each other."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from clampbook.record.pages.blocks import Beside, Block, Plain


def flat(blocks: Iterable[Block]) -> Iterator[Plain]:
    """Each block by itself, column by column."""
    for block in blocks:
        if isinstance(block, Beside):
            for column in block.columns:
                yield from column
        else:
            yield block
