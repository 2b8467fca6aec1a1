"""allowed_signers: who may sign with which key, and when, one line a key (ssh-keygen(1), ALLOWED SIGNERS)."""

from __future__ import annotations

import fnmatch
import re
from collections.abc import Iterable
from datetime import UTC, datetime

from msgspec import Struct

from clampbook.signing import public
from clampbook.signing.held import HeldKey
from clampbook.signing.public import KIND, PublicKey
from clampbook.signing.sshsig import NAMESPACE, SEAL_NAMESPACE
from clampbook.signing.wire import KeyFault

_OPTION = re.compile(r'([a-z-]+)(?:="([^"]*)")?')
_FINGERPRINT = re.compile(r"SHA256:[A-Za-z0-9+/]{43}")
_MAY_BREAK = "\u200b"  # stands in long words of a report, and comes along where one is copied from it
_TIMES = {9: "%Y%m%dZ", 13: "%Y%m%d%H%MZ", 15: "%Y%m%d%H%M%SZ"}


class Allowed(Struct, frozen=True):
    """A key that somebody vouches for: for whom (patterns; empty for anybody), for how long; by key or fingerprint."""

    principals: tuple[str, ...]
    fingerprint: str
    namespaces: tuple[str, ...] = ()
    after: datetime | None = None
    before: datetime | None = None

    @property
    def bare(self) -> bool:
        """True where nobody is named with it: the key is known, its person is not."""
        return all(each.startswith("!") or not each.strip("*") for each in self.principals)

    def names(self, person: str, namespace: str = NAMESPACE) -> bool:
        """True where it is vouched for as the key of this person, for this purpose; so is one that names nobody."""
        return _matches(self.principals, person) and _matches(self.namespaces, namespace)

    def gives(self, person: str) -> bool:
        """True where it is given to this very person, by name."""
        return not self.bare and _matches(self.principals, person)

    def serves(self, namespace: str) -> bool:
        """True where it is vouched for to be used for this purpose; for all of them where none is named."""
        return _matches(self.namespaces, namespace)

    def valid(self, at: datetime) -> bool:
        """True where it is vouched for at this time."""
        return (self.after is None or self.after <= at) and (self.before is None or at <= self.before)


def line(held: HeldKey) -> str:
    """The line of a key, without its newline."""
    options = [f'namespaces="{NAMESPACE},{SEAL_NAMESPACE}"', f'valid-after="{_time(held.added)}"']
    if held.withdrawn is not None:
        options.append(f'valid-before="{_time(held.withdrawn)}"')
    return f"{held.person} {','.join(options)} {held.key.text}"


def lines(keys: Iterable[HeldKey]) -> bytes:
    """The file of these keys, each once, in the order given."""
    return "".join(f"{each}\n" for each in dict.fromkeys(line(held) for held in keys)).encode()


def read(data: bytes) -> tuple[Allowed, ...]:
    """Keys that a file vouches for: lines of allowed_signers, or fingerprints as they are printed on a report.

    Lines about other kinds of keys are passed over. Raises KeyFault naming the first line that cannot be understood.
    """
    found: list[Allowed] = []
    whole = data.decode("utf-8", "replace").replace(_MAY_BREAK, "")
    for place, text in enumerate(whole.splitlines(), start=1):
        if not text.strip() or text.lstrip().startswith("#"):
            continue
        try:
            found += _read_line(text.strip())
        except KeyFault as fault:
            raise KeyFault(f"line {place}: {fault.sentence}") from fault
    return tuple(found)


def _read_line(text: str) -> list[Allowed]:
    words = _words(text)
    kinds = [place for place, word in enumerate(words) if re.fullmatch(r"(sk-)?(ssh|ecdsa)-[a-z0-9@.-]+", word)]
    if not kinds:
        printed = _FINGERPRINT.findall(text)
        if not printed:
            raise KeyFault(f"it has neither a public key ({KIND} …) nor a fingerprint (SHA256:…)")
        return [Allowed((), fingerprint) for fingerprint in printed]
    place = kinds[0]
    if words[place] != KIND:
        return []
    key: PublicKey = public.read(" ".join(words[place : place + 2]))
    principals = tuple(words[0].split(",")) if place else ()
    options = {name: value for word in words[1:place] for name, value in _OPTION.findall(word)}
    if "cert-authority" in options:
        return []
    spaces = tuple(filter(None, options.get("namespaces", "").split(",")))
    return [
        Allowed(
            principals,
            key.fingerprint,
            spaces,
            _moment(options.get("valid-after")),
            _moment(options.get("valid-before")),
        )
    ]


def _words(text: str) -> list[str]:
    """Split at blanks that stand outside quotes."""
    return re.findall(r'(?:"[^"]*"|\S)+', text)


def _moment(text: str | None) -> datetime | None:
    """A time of an option. One without Z is taken as UTC, which moves it by hours at most."""
    if not text:
        return None
    whole = text if text.endswith("Z") else f"{text}Z"
    try:
        return datetime.strptime(whole, _TIMES[len(whole)]).replace(tzinfo=UTC)
    except (KeyError, ValueError) as error:
        raise KeyFault(f"{text} is no time: write it as 20260302 or 20260302091407Z") from error


def _time(at: datetime) -> str:
    return at.astimezone(UTC).strftime("%Y%m%d%H%M%SZ")


def _matches(patterns: tuple[str, ...], name: str) -> bool:
    """Patterns as in ssh_config(5): * and ? stand for anything, ! forbids; none at all means anybody."""
    if any(fnmatch.fnmatchcase(name, each[1:]) for each in patterns if each.startswith("!")):
        return False
    return not patterns or any(fnmatch.fnmatchcase(name, each) for each in patterns)
