"""people.toml: read with all its faults at once, added to without touching what somebody wrote by hand."""

import tomllib

import tomli_w
from pydantic import Field

from clampbook.handwritten import read_rows
from clampbook.people import Person, known_name
from clampbook.procedure.codes import Code
from clampbook.procedure.sheet_values import Table, Text
from clampbook.procedure.slips import KeyPath, Slips
from clampbook.slug import is_slug
from clampbook.text import TextFault, quoted


class KeyTable(Table):
    """A key to sign with, as clampbook keys writes it."""

    public: Text = Field(description="The public part: ssh-ed25519 and its letters.", examples=["ssh-ed25519 AAAA…"])
    added: Text = Field(description="Since when it is valid, with its zone.", examples=["2026-03-02T09:14:07Z"])
    withdrawn: Text | None = Field(
        default=None, description="From when it is not valid any more.", examples=["2026-09-01T08:00:00Z"]
    )
    why: Text | None = Field(default=None, description="Why it was revoked.", examples=["lost or forgotten"])
    known_since: Text | None = Field(
        default=None, description="Since when others may have had it.", examples=["2026-08-30T12:00:00Z"]
    )


class PersonTable(Table):
    """A person of the book."""

    id: Text = Field(description="Never used for another person: small letters, digits and hyphens.", examples=["ines"])
    name: Text = Field(description="As it is shown.", examples=["Ines"])
    key: list[KeyTable] = Field(default=[], description="Keys to sign with. clampbook keys writes them.")


def read_people(data: bytes, path: str) -> tuple[Person, ...]:
    """The people of a book in the order of the file; `path` stands in the faults. Raises Faulty with all of them."""
    seen: set[str] = set()

    def meaning(row: PersonTable, at: KeyPath, slips: Slips) -> Person | None:
        if not is_slug(row.id):
            allowed = "up to 40 small letters, digits and hyphens"
            told, hint = f"{quoted(row.id)} is not an id", f"use {allowed}"
            slips.add(Code.NOT_UNDERSTOOD, (*at, "id"), told, found=row.id, allowed=allowed, hint=hint)
        if row.id in seen:
            told = f"another person already has the id {quoted(row.id)}"
            slips.add(Code.NAME_TWICE, (*at, "id"), told, hint="give each person an id of their own")
        seen.add(row.id)
        try:
            return Person(row.id, known_name(row.name))
        except TextFault as fault:
            slips.add(Code.UNSEEN_SIGN, (*at, "name"), fault.sentence, found=row.name)
            return None

    return tuple(read_rows(data, path, "person", PersonTable, meaning))


def added(data: bytes, person: Person) -> bytes:
    """The file with one more person at its end, everything before it byte for byte as it was.

    Only where the people stand in a list in brackets, to which nothing can be appended, the file is written anew.
    """
    entry = {"id": person.id, "name": person.name}
    before = data if data.endswith(b"\n") or not data else data + b"\n"
    longer = before + b"\n[[person]]\n" + tomli_w.dumps(entry).encode()
    held = tomllib.loads(data.decode())
    wanted = {**held, "person": [*held.get("person", []), entry]}
    try:
        if tomllib.loads(longer.decode()) == wanted:
            return longer
    except tomllib.TOMLDecodeError:
        pass
    return tomli_w.dumps(wanted).encode()
