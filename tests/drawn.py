"""What random tests draw from."""

from __future__ import annotations

from decimal import Decimal

from hypothesis import strategies as st


def decimals(most: str = "1000000", places: int = 6) -> st.SearchStrategy[Decimal]:
    """Numbers as people type them, of either sign."""
    return st.decimals(f"-{most}", most, places=places, allow_nan=False, allow_infinity=False)
