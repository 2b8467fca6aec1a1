"""How a record writes figures: what was read with all its digits, what was worked out with six."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clampbook.record.figures import plain, rounded

READINGS = st.lists(st.decimals(min_value=1, max_value=500, places=2), min_size=1, max_size=30)


class TestWritten:
    """Six digits for what is worked out, everything for what was read."""

    @pytest.mark.parametrize(
        ("value", "written"),
        [
            ("30", "30.0000"),
            ("30.00005", "30.0000"),
            ("30.00015", "30.0002"),
            ("0.0790105478", "0.0790105"),
            ("1234567.8", "1234570"),
            ("0", "0"),
            ("0E-9", "0"),
            ("999999.9", "1000000"),
        ],
    )
    def test_what_is_worked_out_has_six_significant_digits(self, value: str, written: str) -> None:
        """Half goes to the even digit, and there is never an exponent."""
        assert written == rounded(Decimal(value))

    @given(st.decimals(min_value="0.001", max_value=10**7, places=4))
    def test_rounding_moves_a_value_by_less_than_its_last_digit(self, value: Decimal) -> None:
        """Six digits are good to one part in a hundred thousand."""
        assert abs(Decimal(rounded(value)) - value) <= value / 100_000

    def test_an_exact_value_keeps_its_digits(self) -> None:
        """Trailing zeros say how finely it was read."""
        assert ("28.0", "1000000") == (plain(Decimal("28.0")), plain(Decimal("1E+6")))
