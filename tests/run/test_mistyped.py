"""A number that was mistyped is typed once more as it would have been first: the point is asked for where several are
judged together, and what a tool cannot show is questioned."""

from __future__ import annotations

from typing import Any

import pytest
from small_joints import (
    amount,
    asked,
    at,
    at_first_pull,
    bench_for,
    bolts,
    events_of,
    measure,
    stored,
    tighten,
    value,
    walk_to,
    window,
)

from bench import G1, OKKE, W5, Bench
from clampbook.procedure import model as m
from clampbook.run import answers as a
from clampbook.run import events as e
from clampbook.run import prompts as ask
from clampbook.run.answers import Refused
from clampbook.run.asked import sentence
from clampbook.run.gather.draft import Draft
from clampbook.run.gather.parts import Part, begin, follow, next_part
from clampbook.run.recount import recounted


def nobody(name: str) -> Any:
    """Nobody is named here."""
    raise AssertionError(name)


def typed(run: Bench, *lines: str) -> list[str]:
    """What is asked after each of these lines, the first typed at the prompt; what is complete is answered."""
    told: list[str] = []
    draft = begin(run.prompt, lines[0])
    for line in (*lines[1:], ""):
        assert isinstance(draft, Draft), draft
        found = next_part(run.prompt, run.session, draft)
        if isinstance(found, Refused):
            return [*told, found.sentence]
        if not isinstance(found, Part):
            assert line == ""
            for answer in found:
                stored(run.answer(answer), e.Corrected)
            return told
        told.append(found.text)
        if line == "":
            return told
        further = follow(run.prompt, draft, found, line, nobody)
        if isinstance(further, Refused):
            return [*told, further.sentence]
        assert further is not None
        draft = further
    return told


def correct(run: Bench) -> str:
    """The number of "Correct the reading" in the list."""
    return next(str(n) for n, each in enumerate(asked(run, ask.Decide).choices, 1) if each.choice == "correct")


class TestLessAnEarlierValue:
    """Free lengths of 85.00 and 84.89 mm, where the second was 84.98; then 85.16 and 85.13 mm when tight."""

    def lengths(self) -> Bench:
        """The run at the decision about the stretch of bolt 2, 0.24 mm of 0.13 to 0.18."""
        caps = bolts(2, "Cap bolts")
        free = measure(1, caps, id="free", what="Free length", asked="each", window=window("84.70", "85.30", "mm"))
        more: dict[str, Any] = {"minus": "free", "window": window("0.13", "0.18", "mm")}
        tight = measure(3, caps, what="Length when tight", asked="each", **more)
        run = bench_for(caps, free, tighten(caps, 2), tight)
        for text in ("85.00", "84.89"):
            value(run, text)
        walk_to(run, "3.1/1", ask.Measure)
        for text in ("85.16", "85.13"):
            value(run, text)
        return run

    def test_the_free_length_put_right_judges_the_stretch_anew(self) -> None:
        """85.13 less 84.98 is 0.15 mm, and the run goes on."""
        run = self.lengths()
        assert "Cap bolt 2 is outside its window: 0.24 mm." == sentence(asked(run, ask.Decide))

        told = typed(run, correct(run), "1", "84.98", "2")

        assert [
            "Which value was mistyped?",
            "Cap bolt 2, free length: you entered 84.89 mm. Type what is right.",
            "How do you know?",
        ] == told
        assert "within" == at(run, "2").outcome
        assert not isinstance(run.prompt, ask.Decide)
        assert [] == list(recounted(run.plan, run.events))

    def test_still_outside_it_is_decided_about_with_what_it_is_now(self) -> None:
        """84.90 leaves 0.23 mm; the length when tight was mistyped as well."""
        run = self.lengths()
        typed(run, correct(run), "1", "84.90", "2")
        assert "Cap bolt 2 is outside its window: 0.23 mm." == sentence(asked(run, ask.Decide))

        told = typed(run, correct(run), "2", "85.05", "1")

        assert "Cap bolt 2, length when tight: you entered 85.13 mm. Type what is right." == told[1]
        assert "within" == at(run, "2").outcome
        assert [] == list(recounted(run.plan, run.events))

    def test_outside_its_own_window_the_free_length_is_decided_about(self) -> None:
        """84.60 mm is shorter than is allowed, and leaves 0.53 mm: both are asked about, and no pull is asked again."""
        run = self.lengths()
        typed(run, correct(run), "1", "84.60", "2")

        assert "1.1/2" == asked(run, ask.Decide).where.id
        run.answer(a.Resolve("concession", person=OKKE, reason="no other one"))
        assert "Cap bolt 2 is outside its window: 0.53 mm." == sentence(asked(run, ask.Decide))
        run.answer(a.Resolve("concession", person=OKKE, reason="no other one"))
        assert not isinstance(run.prompt, ask.Tighten)
        assert [] == list(recounted(run.plan, run.events))

    @pytest.mark.parametrize(("free", "asks"), [("100.05", "within"), ("100.10", "under"), ("100.01", "over")])
    def test_a_stretch_between_two_pulls_is_judged_anew(self, free: str, asks: str) -> None:
        """100.16 less 100.00 mm is beyond 0.10 to 0.14 mm: done, pulled on, or decided about by what it is now."""
        run = self.at_the_pull()
        assert "stretch beyond its window" == asked(run, ask.Decide).cause

        run.answer(a.Correct(free, "a second person saw it", events_of(run, e.Measured)[0].seq, OKKE))

        assert ("over" == asks) == isinstance(run.prompt, ask.Decide)
        assert ("under" == asks) == isinstance(run.prompt, ask.Tighten)
        assert ("over" == asks) == (at(run, "1").fastener.over is not None)
        assert "over" == asks or asks == at(run, "1").outcome
        assert [] == list(recounted(run.plan, run.events))

    def test_from_memory_alone_a_stretch_stays_over(self) -> None:
        """As every torque that was told over does."""
        run = self.at_the_pull()

        told = run.answer(a.Correct("100.05", "from memory", events_of(run, e.Measured)[0].seq))

        assert isinstance(told, Refused)
        assert "Head bolt 1: over. From memory alone it stays over. Ask a second person who saw it." == told.sentence
        assert "stretch beyond its window" == asked(run, ask.Decide).cause

    def at_the_pull(self) -> Bench:
        """One bolt, 100.00 mm long, is pulled to a stretch, and 100.16 mm then."""
        head = bolts(1)
        free = measure(1, head, id="free", what="Free length", asked="each", window=None)
        wanted = m.Stretch(window=window("0.10", "0.14", "mm"), minus="free", never_above=amount("95", "N·m"))
        pull = tighten(head, 2, target=None, window=window(None, "95"), stretch=wanted)
        run = bench_for(head, free, pull)
        value(run, "100.00")
        walk_to(run, "2.1/1", ask.Tighten)
        for text in ("50", "100.16"):
            value(run, text)
        return run


@pytest.mark.parametrize("each", [False, True])
class TestWhichPoint:
    """Front, middle and rear of a gap, at most 0.05 mm apart, once for the joint or at a bolt."""

    def measured(self, each: bool, *values: str) -> Bench:
        """The run with these values typed."""
        head = bolts(2)
        more: dict[str, Any] = {"points": ("front", "middle", "rear"), "spread": amount("0.05", "mm")}
        more |= {"asked": "each"} if each else {}
        gap = measure(1, head if each else None, **more, window=window("0.1", "2", "mm"))
        run = bench_for(head, gap, tighten(head, 2))
        for text in values:
            value(run, text)
        return run

    def test_it_is_asked_for_and_the_others_stand(self, each: bool) -> None:
        """1.28 at the front was 1.20: all three lie within 0.02 mm, and the work goes on behind the rear."""
        run = self.measured(each, "1.28", "1.20", "1.22")
        assert "Points front and middle are 0.08 mm apart, 0.05 mm allowed. The larger is at front." == sentence(
            asked(run, ask.Decide)
        )

        told = typed(run, correct(run), "1", "1.20", "1")

        assert ["Which point was mistyped?", "Front: you entered 1.28 mm. Type what is right."] == told[:2]
        line = run.events[-1]
        assert isinstance(line, e.Corrected)
        assert ("0.02", "within") == (line.spread, line.verdict)
        assert line.step is not None
        assert line.step.endswith("front")
        place = getattr(run.prompt, "where", None)
        assert isinstance(place, ask.Where)
        assert ("1.1/2@front" if each else "2.1/1") == place.id
        assert [] == list(recounted(run.plan, run.events))

    def test_still_apart_it_is_asked_about_again(self, each: bool) -> None:
        """1.28 was 1.27: 0.07 mm from the middle. Then the middle was mistyped too."""
        run = self.measured(each, "1.28", "1.20", "1.25")
        typed(run, correct(run), "1", "1.27", "1")

        now = asked(run, ask.Decide)
        assert "Points front and middle are 0.07 mm apart, 0.05 mm allowed. The larger is at front." == sentence(now)
        typed(run, correct(run), "2", "1.26", "1")

        assert not isinstance(run.prompt, ask.Decide)
        assert [] == list(recounted(run.plan, run.events))

    def test_all_of_them_are_measured_again_whichever_was_put_right(self, each: bool) -> None:
        """From the first."""
        run = self.measured(each, "1.28", "1.20", "1.25")
        typed(run, correct(run), "2", "1.21", "1")

        run.answer(a.Resolve("measure all points again"))

        assert "front" == asked(run, ask.Measure).where.point

    def test_the_last_answer_is_then_the_one_put_right(self, each: bool) -> None:
        """1.20 at the front is corrected once more, as the answer before."""
        run = self.measured(each, "1.28", "1.20", "1.22")
        typed(run, correct(run), "1", "1.20", "1")

        asked_for = typed(run, "*1")

        assert [f"{'Head bolt 1 at front' if each else 'Front'}: you entered 1.20 mm. Type what is right."] == asked_for


class TestTorque:
    """30 N·m between 28 and 32, with W5, which shows 1 to 80 lbf·ft in steps of 0.1."""

    def read(self, text: str) -> Bench:
        """The first of two bolts was read."""
        head = bolts(2)
        run = at_first_pull(head, tighten(head), tools=(W5, G1))
        value(run, text)
        return run

    def test_beyond_the_scale_it_is_asked_for_once_more(self) -> None:
        """90 lbf·ft cannot stand on it, and 22.1 does."""
        run = self.read("22.2")

        told = typed(run, "*1", "90", "22.1", "1")

        assert "90 lbf·ft is off W5's scale (1.0–80.0 lbf·ft). Type it again, the same number with its unit." == told[1]
        line = run.events[-1]
        assert isinstance(line, e.Corrected)
        assert ("22.1", "lbf·ft", "within") == (line.value, line.unit, line.verdict)

    def test_between_two_lines_the_window_is_shown_as_finely(self) -> None:
        """As at the first time: 20.66 lbf·ft is 28.01 N·m, and 20.7 is the first line within."""
        run = self.read("22.2")

        told = typed(run, "*1", "20.66", "20.66", "1")

        finely = "20.66 lbf·ft is between two scale lines of W5, the window is 20.66 to 23.60 lbf·ft. Type it again."
        assert finely == told[1]
        assert "within" == at(run, "1").outcome

    def test_a_slip_of_the_hand_is_asked_for_with_its_unit(self) -> None:
        """221 for 22.1 would be the same slip twice."""
        run = self.read("22.2")

        told = typed(run, "*1", "2.21", "22.1 lbf·ft", "1")

        assert "2.21 lbf·ft is unusual here. Wrong decimal point? Type it again, with its unit." == told[1]
        assert "within" == at(run, "1").outcome

    def test_typed_bare_a_second_time_nothing_is_changed(self) -> None:
        """The reading of before stands."""
        run = self.read("22.2")
        before = len(run.events)

        told = typed(run, "*1", "90", "90")

        off = "90 lbf·ft is off W5's scale (1.0–80.0 lbf·ft). Type it again, the same number with its unit."
        assert f"{off} Nothing changed." == told[-1]
        assert before == len(run.events)

    def test_a_good_one_is_taken_at_once(self) -> None:
        """Nothing is asked but how it is known."""
        run = self.read("22.2")

        assert ["Head bolt 1: you entered 22.2 lbf·ft. Type what is right.", "How do you know?"] == typed(
            run, "*1", "22.1", "1"
        )
