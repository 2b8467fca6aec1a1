"""A torque multiplier: the fastener gets so many times what the tool gives, and that is known so well."""

from __future__ import annotations

import math
from decimal import Decimal

import msgspec
import pytest

from clampbook.faults import Faulty
from clampbook.tools.against import AdapterBeyond, MayBeOff
from clampbook.tools.demand import Circumstances, Demand
from clampbook.tools.fitness import fitness
from clampbook.tools.guard import accepted
from clampbook.tools.label import adapter_words
from clampbook.tools.lever import reach
from clampbook.tools.model import Adapter, Stock, Tool
from clampbook.tools.ranking import looked_at, rank
from clampbook.tools.reader import read_stock
from clampbook.tools.setting import Setting, what_to_set
from clampbook.tools.uncertainty import applied
from clampbook.units import Quantity

X1 = Adapter(
    id="x1",
    name="X1",
    extension=Quantity(Decimal(0), "mm"),
    ratio=Decimal(5),
    ratio_uncertainty=Decimal(3),
)
W2 = Tool(
    id="w2",
    name="W2",
    kind="setting",
    unit="N·m",
    minimum=Decimal(20),
    maximum=Decimal(100),
    resolution=Decimal("0.5"),
    permissible_deviation=Decimal(4),
)
WRITTEN = """\
[[adapter]]
id = "x1"
name = "X1"
ratio = 5
ratio_uncertainty = "±3 %"
"""


def codes(text: str) -> list[tuple[str, str]]:
    """Key and code of every fault of a tools file."""
    with pytest.raises(Faulty) as faulty:
        read_stock(text.encode(), "tools.toml")
    return [(fault.key, fault.code) for fault in faulty.value.faults]


class TestRead:
    """It stands among the adapters."""

    def test_ratio_and_its_uncertainty(self) -> None:
        """It changes no lever."""
        assert (X1,) == read_stock(WRITTEN.encode(), "tools.toml").adapters

    def test_it_has_no_extension(self) -> None:
        """One or the other, and one of them."""
        assert [("adapter[1].extension", "E269")] == codes(WRITTEN + 'extension = "60 mm"\n')
        assert [("adapter[1]", "E116")] == codes('[[adapter]]\nid = "a1"\nname = "A1"\n')

    def test_an_adapter_is_stored_as_before(self) -> None:
        """What nobody wrote stands in no daybook."""
        plain = Adapter(id="a1", name="A1", extension=Quantity(Decimal(60), "mm"))

        assert {"id", "name", "extension", "offset", "note"} == set(msgspec.to_builtins(plain))


class TestTorque:
    """Setting and reading follow the ratio."""

    def test_what_to_set(self) -> None:
        """300 N·m at the fastener are 60 N·m on the tool."""
        window = (Decimal(280), Decimal(320))

        assert Setting(Decimal(60), "N·m") == what_to_set(Decimal(300), window, "N·m", W2, X1)

    def test_what_the_fastener_gets(self) -> None:
        """And 60 N·m on the tool 300 N·m there."""
        through = reach(W2, X1)

        assert Decimal(300) == through.at_fastener(Decimal(60))  # type: ignore[union-attr]

    def test_no_lever_is_asked_for(self) -> None:
        """W2 has none in tools.toml."""
        found = rank(looked_at(Stock((W2,))), Demand(need="torque", target=Decimal(300), unit="N·m"), (X1,))

        assert X1 == found[0].adapter
        assert "X1, multiplies by 5 ±3 %" == adapter_words(X1)


class TestUncertainty:
    """The ratio's uncertainty adds to the tool's, each squared (JCGM 100:2008, 5.1.2)."""

    def test_of_a_pull(self) -> None:
        """Limits of 4 % as a rectangle (4 / √3), a step of 0.5 N·m in 60 N·m, and 1.5 % of the ratio (k = 2)."""
        found = applied(W2, 60.0, ratio=1.5)

        assert found is not None
        assert math.hypot(4 / math.sqrt(3), 0.5 / math.sqrt(12) / 60 * 100, 1.5) == pytest.approx(found.percent)

    def test_it_rules_whether_the_two_suit(self) -> None:
        """4 % and 3 % are 5 % together, 15 N·m of 300 N·m: a window that leaves 14 N·m is too narrow."""
        wide, tight = (
            Demand(need="torque", target=Decimal(300), window=(300 - Decimal(by), 300 + Decimal(by)), unit="N·m")
            for by in (15, 14)
        )
        with_it = Circumstances(adapter=X1)

        assert fitness(W2, wide, with_it).suits
        assert (MayBeOff(Decimal(15), Decimal(14), "N·m", Decimal(5)),) == fitness(W2, tight, with_it).against

    def test_it_narrows_a_guarded_window(self) -> None:
        """u of 4 / √3 %, of a step of 0.5 N·m and of 1.5 %, twice, at 300 N·m; never narrower than that."""
        w5 = msgspec.structs.replace(W2, kind="indicating")
        through = reach(w5, X1)
        u = math.hypot(4 / math.sqrt(3), 0.5 / math.sqrt(12) / 60 * 100, 1.5)
        band = 2 * u / 100 * 300

        found = accepted("guarded", w5, Decimal(300), (Decimal(250), Decimal(350)), "N·m", through)  # type: ignore[arg-type]

        assert found is not None
        assert 250 + band == pytest.approx(float(found[0] or 0), abs=0.1)
        assert float(found[0] or 0) >= 250 + band


# gives 250 N·m at most, which is 50 N·m on the tool; takes no more than 55 N·m
BORNE = msgspec.structs.replace(
    X1, max_torque=Quantity(Decimal(250), "N·m"), max_torque_in=Quantity(Decimal(55), "N·m")
)
TAKES = msgspec.structs.replace(X1, max_torque_in=Quantity(Decimal(40), "lbf·ft"))


class TestWhatItBears:
    """A multiplier breaks where more goes in, or comes out, than is marked on it."""

    def to(self, target: int, by: int = 20, **more: object) -> Demand:
        """Of a torque either way of its target."""
        ends = (Decimal(target - by), Decimal(target + by))
        return Demand(need="torque", target=Decimal(target), window=ends, unit="N·m", **more)  # type: ignore[arg-type]

    def test_it_is_read(self) -> None:
        """Each in its own unit."""
        more = 'max_torque = "250 N·m"\nmax_torque_in = "55 N·m"\n'

        assert (BORNE,) == read_stock((WRITTEN + more).encode(), "tools.toml").adapters

    def test_its_label_says_it(self) -> None:
        """Whoever takes it off its hook reads it."""
        assert "X1, multiplies by 5 ±3 %, gives at most 250 N·m, takes at most 55 N·m" == adapter_words(BORNE)

    @pytest.mark.parametrize(
        ("adapter", "target", "told"),
        [
            (BORNE, 300, "W2: X1 gives at most 250 N·m"),  # 60 N·m on the tool, and 280 are 56: beyond both
            (TAKES, 300, "W2: X1 takes at most 40 lbf·ft"),  # 54.23 N·m (÷ 1.35581795, NIST SP 811)
        ],
    )
    def test_beyond_it_the_two_cannot_be_used(self, adapter: Adapter, target: int, told: str) -> None:
        """As beyond the end of a scale."""
        assert told == fitness(W2, self.to(target), Circumstances(adapter=adapter)).cannot

    @pytest.mark.parametrize(("adapter", "target", "mark"), [(BORNE, 250, "50"), (TAKES, 270, "54")])
    def test_up_to_it_they_can(self, adapter: Adapter, target: int, mark: str) -> None:
        """250 N·m are 50 on the tool, 270 are 54."""
        ends = (Decimal(target - 20), Decimal(target + 20))

        assert Setting(Decimal(mark), "N·m") == what_to_set(Decimal(target), ends, "N·m", W2, adapter)

    def test_the_end_of_the_scale_comes_first_where_it_is_lower(self) -> None:
        """Ten times 100 N·m, and the multiplier bears more."""
        strong = msgspec.structs.replace(X1, max_torque=Quantity(Decimal(900), "N·m"))

        assert (
            "W2: ends at 100 N·m, X1 needs 160 N·m" == fitness(W2, self.to(800), Circumstances(adapter=strong)).cannot
        )

    def test_a_pull_that_goes_on_until_it_moves_wants_a_reason(self) -> None:
        """Nothing is aimed at, but it may go beyond."""
        w5 = msgspec.structs.replace(W2, kind="indicating")
        moving = msgspec.structs.replace(self.to(260), need="reading", stops=False)

        found = fitness(w5, moving, Circumstances(adapter=BORNE))

        assert found.cannot is None
        assert AdapterBeyond(Decimal(52), "N·m", "X1", "gives at most 250 N·m") in found.against

    def test_one_that_says_nothing_is_stored_as_before(self) -> None:
        """What nobody wrote stands in no daybook."""
        assert {"max_torque", "max_torque_in"}.isdisjoint(msgspec.to_builtins(X1))
