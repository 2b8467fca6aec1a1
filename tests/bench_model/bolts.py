"""One fastener: what is true of it, and what the program was told of it."""

from dataclasses import dataclass
from fractions import Fraction


@dataclass
class Bolt:
    """Torque in N·m, angle in degrees since the mark of the open turn, length in mm.

    `held` is what it holds by what was told (None: never pulled since it was loose); `over` that a torque was told
    above the window of the step it was told for, and nobody has loosened or conceded it since.
    """

    position: str
    free_length: Fraction
    drag: Fraction
    held: Fraction | None = None
    over: bool = False
    loose: bool = True
    backed_off: bool = False
    turned: Fraction = Fraction(0)
    turning: str | None = None
    lost_mark: bool = False
    stretch: Fraction = Fraction(0)
    broken: bool = False
    begun_untold: bool = False
    begun: bool = False
    reached_high: Fraction | None = None
    fasteners: int = 1
    tightenings: int = 0
    tightenings_sure: bool = True
    attempts: int = 1
    worked: bool = False
    attempts_sure: bool = True
    why_over: str = ""

    def pulled(self, torque: Fraction | None, high: Fraction | None, why: str) -> None:
        """Pulled to so many N·m (None: not known), where at most `high` was allowed."""
        if self.loose or self.backed_off:
            self.tightenings += 1
        self.loose = self.backed_off = self.begun = False
        if torque is not None:
            self.held = torque if self.held is None else max(self.held, torque)
            if high is not None and torque > high:
                self.over, self.why_over = True, why

    def loosened(self) -> None:
        """Loosened fully: nothing is left of what it held; what was begun before a break was a tightening too."""
        if self.begun and self.loose:
            self.tightenings += 1
        self.begun = False
        self.held, self.over, self.loose, self.backed_off, self.why_over = None, False, True, False, ""
        self.turned, self.turning, self.lost_mark, self.stretch = Fraction(0), None, False, Fraction(0)
        self.begun_untold = False

    def loosened_by(self) -> None:
        """Loosened by an angle: it holds less than before, and nobody knows how much."""
        self.held, self.backed_off = None, True
        self.turned, self.turning = Fraction(0), None

    def renewed(self) -> None:
        """A new one, fitted by hand."""
        self.loosened()
        self.broken = False
        self.fasteners += 1
        self.tightenings, self.tightenings_sure = 0, True
