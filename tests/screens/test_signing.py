"""Signing on the screen, by real keys: what is signed is read, the passphrase does not show, and the run is sealed."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual import events

from at_keyboard import Keyboard, at_the_bench, named, played, seen, shown, walking
from checked import closed
from clampbook.book.book import Book
from clampbook.book.keys import unlock
from clampbook.book.sealing import of_run
from clampbook.book.soundness.verifying import Verifying
from clampbook.run import prompts as ask
from clampbook.screens.bench import Bench
from clampbook.screens.signing import SignHere
from clampbook.signing.secret import SecretKey
from sealing import Shop, shop, walked
from signers import PHRASE


async def _to_the_hold_point(keyboard: Keyboard) -> None:
    """Two screws pulled, and Maud has looked."""
    await keyboard.press("1", "enter", "1", "enter")
    for _ in range(2):
        await keyboard.slow_pull()
        await keyboard.type("30.1")
    await keyboard.press("1", "enter", "2", "enter")


async def _to_the_end(keyboard: Keyboard) -> None:
    """The tool is put back, both have signed off, and the run is closed."""
    await keyboard.press("+", "1", "enter", "2", "enter", "1", "enter")


async def _sealed(keyboard: Keyboard) -> str:
    """What is said once the report is printed and the folder sealed."""
    for _ in range(200):
        await keyboard.app.workers.wait_for_complete()
        await keyboard.drawn()
        if "sealed" in seen(keyboard):
            break
    return await shown(keyboard)


class TestSigning:
    """A signature is asked for where it is announced."""

    @played
    async def test_the_run_is_signed_and_sealed(self, whinchat: Shop) -> None:
        """Maud at the hold point, both at the end; verifying finds nothing."""
        async with walking(whinchat.book, "cover", by=named(whinchat.book, "Ines")) as keyboard:
            await _to_the_hold_point(keyboard)
            await keyboard.type(PHRASE)
            await _to_the_end(keyboard)
            await keyboard.type(PHRASE)
            await keyboard.type(PHRASE)

            assert "The run is sealed" in await _sealed(keyboard)
        (run,) = whinchat.book.runs()
        found = Verifying(whinchat.book).run(run)

        assert ("sealed", (), 3) == (found.state, found.faults, len(found.signed))

    @played
    async def test_the_passphrase_does_not_show(self, whinchat: Shop) -> None:
        """What is signed stands there; of the passphrase only how much of it was typed."""
        async with walking(whinchat.book, "cover", by=named(whinchat.book, "Ines")) as keyboard:
            await _to_the_hold_point(keyboard)
            await keyboard.type("four*?", enter=False)
            await keyboard.drawn()

            stands = await shown(keyboard)

        assert "I inspected these. I did none of the work." in stands
        assert "••••••" in stands
        assert "four" not in stands

    @played
    async def test_nothing_is_signed_before_it_was_read_to_its_end(self, whinchat: Shop) -> None:
        """What does not fit the screen is paged through first; then the same passphrase signs it."""
        async with walking(whinchat.book, "cover", by=named(whinchat.book, "Ines"), size=(40, 15)) as keyboard:
            await _to_the_hold_point(keyboard)
            await keyboard.drawn()
            await keyboard.type(PHRASE)

            assert "Read to the end first" in " ".join((await shown(keyboard)).split())
            assert isinstance(keyboard.app.screen, SignHere)
            for _ in range(30):
                await keyboard.press("pagedown")
            await keyboard.type(PHRASE)
            assert isinstance(keyboard.prompt, ask.ReturnTool)

    @played
    async def test_a_signature_left_for_later_is_never_called_given(self, whinchat: Shop) -> None:
        """After Esc nothing on the screen says that Maud signed."""
        async with walking(whinchat.book, "cover", by=named(whinchat.book, "Ines")) as keyboard:
            await _to_the_hold_point(keyboard)
            await keyboard.press("escape")
            stands = await shown(keyboard)

        assert "Maud looked, still to be signed" in " ".join(stands.split())
        assert "signed by" not in stands

    @played
    async def test_a_wrong_passphrase_is_told(self, whinchat: Shop) -> None:
        """And the same signature is asked for again."""
        async with walking(whinchat.book, "cover", by=named(whinchat.book, "Ines")) as keyboard:
            await _to_the_hold_point(keyboard)
            await keyboard.type("four little worms")
            await keyboard.drawn()

            assert "The passphrase does not open this key" in await shown(keyboard)
            assert isinstance(keyboard.app.screen, SignHere)

    @played
    async def test_what_was_typed_while_a_passphrase_was_tried_is_not_tried_as_well(
        self, whinchat: Shop, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """Each try costs up to a second: thirty lines in a row would hold the screen for as long."""
        tried: list[str] = []

        def counted(book: Book, person: str, fingerprint: str, passphrase: str) -> SecretKey:
            tried.append(passphrase)
            return unlock(book, person, fingerprint, passphrase)

        monkeypatch.setattr(of_run, "unlock", counted)
        async with walking(whinchat.book, "cover", by=named(whinchat.book, "Ines")) as keyboard:
            await _to_the_hold_point(keyboard)
            await keyboard.drawn()
            here = keyboard.app.screen
            for sign in "wrong\r" * 30:
                here.post_message(events.Key("enter", sign) if sign == "\r" else events.Key(sign, sign))
            await keyboard.drawn()

            assert 1 == len(tried)
            assert keyboard.app.screen is here
            await keyboard.type(PHRASE)
            assert isinstance(keyboard.prompt, ask.ReturnTool)

    @played
    async def test_a_signature_can_wait(self, whinchat: Shop) -> None:
        """Esc goes on with the walk; at the end it is asked for again, and left, and the run stays unsealed."""
        async with walking(whinchat.book, "cover", by=named(whinchat.book, "Ines")) as keyboard:
            await _to_the_hold_point(keyboard)
            await keyboard.press("escape")
            assert isinstance(keyboard.prompt, ask.ReturnTool)
            await _to_the_end(keyboard)
            assert isinstance(keyboard.app.screen, SignHere)
            await keyboard.press("escape")

            assert "closed, not sealed" in await _sealed(keyboard)


@played
async def test_the_bench_offers_to_finish_what_is_not_sealed(whinchat: Shop) -> None:
    """A run that was left unsigned stands there; its signatures are asked for, and then it is sealed."""
    run = walked(whinchat)
    async with at_the_bench(whinchat.book) as keyboard:
        await keyboard.drawn()
        assert f"{run.id} · closed, not sealed" in seen(keyboard)

        bench = keyboard.app.screen
        assert isinstance(bench, Bench)
        texts = [text for _, text, _ in bench.standing.rows]
        await keyboard.press(*str(texts.index(f"{run.id} · closed, not sealed") + 1), "enter")
        for _ in range(3):
            await keyboard.type(PHRASE)

        assert "The run is sealed" in await _sealed(keyboard)
        assert "closed, not sealed" not in await shown(keyboard)


@played
async def test_the_bench_offers_to_finish_a_check_that_is_not_sealed(whinchat: Shop) -> None:
    """The program ended before the check was signed: whoever closed it is asked there, and then it is sealed."""
    check = closed(whinchat)
    async with at_the_bench(whinchat.book) as keyboard:
        await keyboard.drawn()
        line = f"Check {check.id} · closed, not sealed"
        assert line in seen(keyboard)

        bench = keyboard.app.screen
        assert isinstance(bench, Bench)
        texts = [text for _, text, _ in bench.standing.rows]
        await keyboard.press(*str(texts.index(line) + 1), "enter")
        assert "to seal this check" in await shown(keyboard)
        await keyboard.type(PHRASE)

        assert "The check is sealed" in await _sealed(keyboard)
        assert "closed, not sealed" not in await shown(keyboard)
    assert Verifying(whinchat.book, None).check(check).sound


@played
async def test_a_check_that_was_closed_with_a_typed_name_is_sealed_at_once(tmp_path: Path) -> None:
    """Nobody has a key: nothing is asked for."""
    at = shop(tmp_path / "book", keys=False)
    check = closed(at)
    async with at_the_bench(at.book) as keyboard:
        await keyboard.drawn()
        bench = keyboard.app.screen
        assert isinstance(bench, Bench)
        texts = [text for _, text, _ in bench.standing.rows]
        await keyboard.press(*str(texts.index(f"Check {check.id} · closed, not sealed") + 1), "enter")

        assert "The check is sealed" in await _sealed(keyboard)
    assert (check.path / "seal.sha256").exists()
