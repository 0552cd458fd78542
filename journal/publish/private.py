"""What is private in a journal, by the names of its fields, and what each kind of it is called."""

from __future__ import annotations

from types import MappingProxyType

#: Kinds of private things, as ``--include`` names them, and how they are told when they are left out.
KINDS = MappingProxyType(
    {
        "place": "the exact place",
        "builder": "the builder's name",
        "contact": "how to reach the builder",
        "serials": "serial numbers",
        "prices": "prices",
        "notes": "private notes",
        "people": "who fitted or tested it",
        "files": "private files",
    }
)
#: What may be let in by asking; a file marked as private goes to nobody but who has everything.
PRIVATE = tuple(kind for kind in KINDS if kind != "files")

#: Fields of the build that are private as a whole; other things have places too, which tell nobody where.
OF_THE_BUILD = MappingProxyType({"place": "place", "builder": "builder", "contact": "contact"})
#: Fields that are private as a whole in whatever has them: a record, a view, computed figures, or a row of the sheet.
FIELDS = MappingProxyType(
    {
        "serial": "serials",
        "cost": "prices",
        "price": "prices",
        "currency": "prices",
        "cost_old": "prices",
        "cost_new": "prices",
        "private_note": "notes",
        "fitted_by": "people",
        "read_by": "people",
        # Of the sheet; to the minute it tells where the machine stands.
        "latitude": "place",
    }
)
#: Fields that no reader has a use for.
NEVER = frozenset({"sha256"})
