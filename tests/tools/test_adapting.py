"""Which adapter is the one that a procedure asks for, and what is typed of it at the bench."""

from __future__ import annotations

from decimal import Decimal

import pytest

from clampbook.tools.adapting import measured, serves
from clampbook.tools.model import Adapter
from clampbook.units import Quantity


def called(*kinds: str) -> Adapter:
    """A3, which its entry calls this; neither its length nor its angle stand there."""
    return Adapter(id="a3", name="A3", offset=None, kinds=kinds)


class TestKinds:
    """The same words, however they are written, and no other size."""

    @pytest.mark.parametrize("written", ["open end, 19 mm", "Open end 19mm", "OPEN END , 19  mm", "open end,19 mm"])
    def test_capitals_spaces_and_commas_do_not_matter(self, written: str) -> None:
        """Whoever writes tools.toml did not write the manual."""
        assert serves(called(written), "open end, 19 mm")

    @pytest.mark.parametrize(
        ("there", "wanted"),
        [
            ("open end, 11/16 in", "open end, 1 1/16 in"),
            ("open end, 19 mm", "open end, 18 mm"),
            ("ring end, 19 mm", "open end, 19 mm"),
            ("open end, 19", "open end, 19 mm"),
            ("open end, 1.9 mm", "open end, 19 mm"),
        ],
    )
    def test_another_size_or_shape_is_another_adapter(self, there: str, wanted: str) -> None:
        """Nothing is guessed: a near size rounds off the corners."""
        assert not serves(called(there), wanted)

    def test_a_decimal_comma_is_a_point(self) -> None:
        """19,5 mm and 19.5 mm are one size."""
        assert serves(called("open end, 19,5 mm"), "open end 19.5 mm")

    def test_one_of_several_names(self) -> None:
        """19 mm and 3/4 in may be stamped on one piece."""
        assert serves(called("open end, 3/4 in", "open end, 19 mm"), "open end, 19 mm")

    def test_one_without_a_kind_is_none(self) -> None:
        """Its entry does not say what it is."""
        assert not serves(Adapter(id="a1", name="A1", extension=Quantity(Decimal(60), "mm")), "open end, 19 mm")


class TestMeasured:
    """What its entry does not say is typed."""

    def test_numbers_alone_are_millimetres_and_degrees(self) -> None:
        """62 and 90."""
        found = measured(called("open end, 19 mm"), "62", "90")

        assert isinstance(found, Adapter)
        assert (Quantity(Decimal(62), "mm"), Decimal(90)) == (found.extension, found.offset)

    def test_units_as_they_are_written(self) -> None:
        """2.5 in, a quarter turn."""
        found = measured(called("open end, 19 mm"), "2.5 in", "1/4 turn")

        assert isinstance(found, Adapter)
        assert (Quantity(Decimal("2.5"), "in"), Decimal(90)) == (found.extension, found.offset)

    def test_what_the_entry_says_is_not_typed_over(self) -> None:
        """Its length is known, its angle is not."""
        known = Adapter(id="a3", name="A3", extension=Quantity(Decimal(60), "mm"), offset=None, kinds=("ring",))
        found = measured(known, None, "0")

        assert isinstance(found, Adapter)
        assert (Quantity(Decimal(60), "mm"), Decimal(0)) == (found.extension, found.offset)

    @pytest.mark.parametrize(
        ("length", "angle", "says"),
        [
            ("20 m", "0", "10 m long or less"),
            ("62", "200", "−180° to 180°"),
            ("62 kg", "0", "kg"),
            ("long", "0", "long"),
        ],
    )
    def test_what_cannot_be_is_asked_again(self, length: str, angle: str, says: str) -> None:
        """In a sentence that names it."""
        found = measured(called("open end, 19 mm"), length, angle)

        assert isinstance(found, str)
        assert says in found
