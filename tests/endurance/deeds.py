"""What is done to the signatures, the seal and the record of a run: one small function for each way."""

from __future__ import annotations

import shutil
from hashlib import sha256
from pathlib import Path

from clampbook.people import Person
from clampbook.record import report
from clampbook.record.sealed import given_up
from clampbook.record.sealed.given_up import GivenUp
from clampbook.signing import seal_text, secret
from clampbook.signing.secret import SecretKey
from endurance.forging import Fields, Forger, edited, keep, lines_of, painted_over


def signatures_out(at: Forger) -> None:
    """Every name stands as typed, and the seal is not signed: all is made anew around that."""
    at.rewrite_daybook(at.latest, lambda told: [line.update(key=None) for line in told if line.get("key")])
    at.take_signatures_out(at.latest)
    at.remake(at.latest)
    at.seal(at.latest, signature=False)


def keys_out_of_the_log_too(at: Forger) -> None:
    """The same, and nobody ever had a key by log and people."""
    signatures_out(at)
    at.rewrite_log(lambda log: keep(log, lambda line: not str(line["event"]).startswith("key_")))
    people = at.root / "people.toml"
    people.write_text("".join(f'[[person]]\nid = "{i}"\nname = "{i.title()}"\n' for i in ("ines", "maud")))
    at.seal(at.latest, signature=False)


def _page_one(at: Forger) -> None:
    """Page one tells something else; what the report carries stays as it was."""
    path = at.latest / "report.pdf"
    path.write_bytes(report.of_folder(at.latest, since=("nothing is known, look away",)))


def page_one_with_seal_and_log(at: Forger) -> None:
    _page_one(at)
    at.seal(at.latest)


def page_one_with_seal_and_log_and_the_old_text(at: Forger) -> None:
    _page_one(at)
    at.seal(at.latest, text=False)


def page_one_with_no_signature_of_the_seal(at: Forger) -> None:
    _page_one(at)
    at.seal(at.latest, signature=False)


def page_one_sealed_with_a_key_of_ones_own(at: Forger) -> None:
    _page_one(at)
    at.seal(at.latest, key=secret.made())


def _add_key(at: Forger, who: str, key: SecretKey) -> None:
    """A line of the log says that a key was given to somebody, long ago."""
    about = {"person": who, "key": key.public.fingerprint, "public": key.public.text, "by": who}
    when = {"at": "2026-03-02T09:00:00.000Z", "offset": "+00:00"}
    at.rewrite_log(lambda log: log.append({"event": "key_added", **about, **when}))


def page_one_sealed_by_a_stranger_with_a_key_in_the_log(at: Forger) -> None:
    _page_one(at)
    key = secret.made()
    _add_key(at, "okke", key)
    at.seal(at.latest, by=("okke", "Okke"), key=key)


def red_rectangle(at: Forger) -> None:
    """The first page is painted over in the PDF itself, seal and log made anew."""
    painted_over(at.latest / "report.pdf")
    at.seal(at.latest)


def person_renamed_in_the_daybook(at: Forger) -> None:
    """Ines is called Agnes in every line; all is made anew."""
    _replaced(at, b'"name":"Ines"', b'"name":"Agnes"')
    at.make_anew(at.latest)


def daybook_truncated_and_all_made_anew(at: Forger) -> None:
    """The concession and what led to it are left out."""
    at.rewrite_daybook(at.latest, lambda told: keep(told, lambda line: line["event"] != "decided"))
    at.make_anew(at.latest)


def another_persons_key(at: Forger) -> None:
    """Maud's sign-off is said to be by the key of Ines, with Ines's own signature of her own text."""
    for end in (".txt", ".txt.sig"):
        shutil.copy(at.latest / f"signoff-3{end}", at.latest / f"signoff-4{end}")
    at.seal(at.latest)


def a_key_of_ones_own(at: Forger) -> None:
    """A sign-off signed anew with a key of the forger's."""
    text = (at.latest / "signoff-3.txt").read_bytes()
    (at.latest / "signoff-3.txt.sig").write_bytes(secret.made().sign(text))
    at.seal(at.latest)


def allowed_signers_replaced(at: Forger) -> None:
    """Another key stands for Ines among the allowed signers."""
    path = at.latest / "allowed_signers"
    ours = next(line for line in path.read_text().splitlines() if line.startswith("ines "))
    edited(path, ours.split()[-1], secret.made().public.text.split()[1])
    at.sum_facts(at.latest)
    at.seal(at.latest)


def allowed_signers_emptied(at: Forger) -> None:
    (at.latest / "allowed_signers").write_bytes(b"")
    at.sum_facts(at.latest)
    at.seal(at.latest)


def seal_signature_of_another_run(at: Forger) -> None:
    _page_one(at)
    at.seal(at.latest)
    shutil.copy(at.earlier / "seal.txt.sig", at.latest / "seal.txt.sig")


def seal_text_and_signature_of_another_run(at: Forger) -> None:
    for name in ("seal.txt", "seal.txt.sig"):
        shutil.copy(at.earlier / name, at.latest / name)
    at.log_seal(at.latest)


def sign_off_in_place_of_the_seals(at: Forger) -> None:
    """A signature of the same person for another purpose."""
    shutil.copy(at.latest / "signoff-4.txt.sig", at.latest / "seal.txt.sig")


def sign_off_of_another_run(at: Forger) -> None:
    for end in (".txt", ".txt.sig"):
        shutil.copy(at.earlier / f"signoff-1{end}", at.latest / f"signoff-1{end}")
    at.sum_facts(at.latest)
    at.seal(at.latest)


def sign_off_text_changed(at: Forger) -> None:
    edited(at.latest / "signoff-1.txt", "the sheet allows it", "the maker allows it")
    at.sum_facts(at.latest)
    at.seal(at.latest)


def sign_offs_exchanged(at: Forger) -> None:
    for end in (".txt", ".txt.sig"):
        one, other = at.latest / f"signoff-2{end}", at.latest / f"signoff-4{end}"
        data = one.read_bytes()
        one.write_bytes(other.read_bytes())
        other.write_bytes(data)
    at.sum_facts(at.latest)
    at.seal(at.latest)


def tool_renamed(at: Forger) -> None:
    _replaced(at, b'"name":"W5"', b'"name":"W9"')
    at.make_anew(at.latest)


def better_reading(at: Forger) -> None:
    _replaced(at, b'"typed":"35"', b'"typed":"31"')
    at.make_anew(at.latest)


def wider_window(at: Forger) -> None:
    """The plan asks for less than it did; its hash stands in the first line, and all is made anew."""
    path = at.latest / "plan.json"
    data = path.read_bytes()
    path.write_bytes(data.replace(b"28", b"18"))
    assert path.read_bytes() != data
    _frozen_anew(at, "plan_sha256", path)


def procedure_reworded(at: Forger) -> None:
    path = at.latest / "procedure.toml"
    path.write_bytes(path.read_bytes() + b"# nobody looked\n")
    _frozen_anew(at, "procedure_sha256", path)


def _frozen_anew(at: Forger, key: str, path: Path) -> None:
    hashed = sha256(path.read_bytes()).hexdigest()
    at.rewrite_daybook(at.latest, lambda told: told[0].update({key: hashed}))
    at.make_anew(at.latest)


def another_inspector(at: Forger) -> None:
    """Ines looked at the hold point herself; Maud's name is put in another's place."""

    def other(told: list[Fields]) -> None:
        for line in told:
            if line["event"] == "inspected":
                line["inspector"] = {"id": "okke", "name": "Okke"}

    at.rewrite_daybook(at.latest, other)
    at.make_anew(at.latest)


def record_edited(at: Forger) -> None:
    edited(at.latest / "record.toml", "over", "within")
    at.sum_facts(at.latest)
    at.seal(at.latest)


def report_of_another_run(at: Forger) -> None:
    shutil.copy(at.earlier / "report.pdf", at.latest / "report.pdf")
    at.seal(at.latest)


def times_changed(at: Forger) -> None:
    """Everything is said to have been done a year earlier."""
    _replaced(at, b'"at":"2026-', b'"at":"2025-')
    at.make_anew(at.latest)


def time_of_the_seal_changed(at: Forger) -> None:
    edited(at.latest / "seal.txt", "Sealed at:      2026-03", "Sealed at:      2026-02")
    at.log_seal(at.latest)


def signature_said_to_be_given_up(at: Forger) -> None:
    """Maud's last signature is taken out, and Ines is said to have given it up."""
    _given_up(at, Person("ines", "Ines"))


def signature_said_to_be_given_up_by_a_newcomer(at: Forger) -> None:
    """The same, by somebody who never had a key."""
    _given_up(at, Person("okke", "Okke"))


def everything_said_to_be_given_up(at: Forger) -> None:
    """All signatures are taken out, and somebody who never had a key is said to have given them up."""
    _given_up(at, Person("okke", "Okke"), (1, 2, 3, 4))


def _given_up(at: Forger, by: Person, numbers: tuple[int, ...] = (4,)) -> None:
    run, whole = at.latest, []
    keyed = [line for line in lines_of(run) if line.get("key")]
    for number in numbers:
        (run / f"signoff-{number}.txt").unlink()
        (run / f"signoff-{number}.txt.sig").unlink()
        line = keyed[number - 1]
        who = line.get("inspector") or line["person"]
        whole.append(
            GivenUp(
                number=number,
                line=line["seq"],
                person=Person(who["id"], who["name"]),
                meaning=line["meaning"],
                by=by,
                because="the key is lost",
                at="2026-03-02T12:00:00+00:00",
            )
        )
    whole.append(given_up.of_the_seal(by, "the key is lost", "2026-03-02T12:00:00+00:00"))
    (run / "given-up.toml").write_bytes(given_up.written(whole))
    at.sum_facts(run)
    (run / "report.pdf").write_bytes(report.of_folder(run))
    at.seal(run, by=(by.id, by.name), signature=False)


def head_in_the_seals_text_changed(at: Forger) -> None:
    said = seal_text.read((at.latest / "seal.txt").read_bytes())
    assert said is not None
    edited(at.latest / "seal.txt", f"{said.log.lines} lines", f"{said.log.lines - 1} lines")
    at.log_seal(at.latest)


def signature_emptied(at: Forger) -> None:
    (at.latest / "signoff-1.txt.sig").write_bytes(b"")
    at.sum_facts(at.latest)
    at.seal(at.latest)


def seal_taken_away_with_its_line(at: Forger) -> None:
    """The run looks as if it were closed and never sealed."""
    for name in ("seal.sha256", "seal.txt", "seal.txt.sig"):
        (at.latest / name).unlink()
    at.rewrite_log(
        lambda log: keep(log, lambda line: (line["event"], line.get("run")) != ("run_sealed", at.latest.name))
    )


def _replaced(at: Forger, old: bytes, new: bytes) -> None:
    path = at.latest / "daybook.jsonl"
    assert old in path.read_bytes(), old
    path.write_bytes(path.read_bytes().replace(old, new))
    at.rewrite_daybook(at.latest, lambda _: None)
