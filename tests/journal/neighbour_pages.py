"""Journals for the page of the neighbours, and what stands on it."""

import re

from journal.book import attempts, corrections, sheet, store
from journal.book import records as records_of
from journal.publish import story as story_of
from journal.publish import writeup

#: At most so many words for the demo with everything on it, and for any journal, however long.
DEMO_WORDS, ANY_WORDS = 450, 550
GAP = r"\_" * 24
#: Words that nobody next door needs; written down apart from the list of the program.
TRADE = (
    r"furl|rectif|inverter|\bemf\b|winding|torque|dump load|\bbft\b|beaufort|yaw|overspeed|tip.speed|resonan|\brpm\b|"
    r"m/s|dB\(A\)|\bohm|mm2|mm²|\d ?V\b|\d ?A\b|\d ?W\b|shorts|chord|ampacity|furlong|r\d\b"
)


def page(path, form="md"):
    """The page of a journal."""
    with store.journal(path) as s:
        return writeup.render(story_of.tell(s), "neighbour", form).text


def words(text):
    """How many words somebody reads in it; what tells a picture to who cannot see it is not among them."""
    return len(re.findall(r"\w[\w'’.,/-]*", re.sub(r"!\[.*?\]\(.*?\)", "", text).replace(r"\_", "")))


def say(s, field, value):
    """A field of the build, said now."""
    corrections.amend(s, "build", field, value, "told now")


def tried(s, did="left it in the wind", **typed):
    """An attempt."""
    return attempts.log_attempt(s, attempts.AttemptTyped(did, **typed))


def storm(s, wind=None, outcome="worked", began="2026-09-14", **typed):
    """A storm that it stood in."""
    return tried(s, kind="storm", wind=wind, outcome=outcome, began=began, **typed)


def section(text, heading):
    """What stands below a heading."""
    return text.split(f"## {heading}", 1)[1].split("\n## ")[0]


#: A machine that can be solved, held back by its tail; of no other machine can the checks tell how far a piece flies.
SOLVED = {
    "rotor.diameter": "1.6 m", "rotor.blades": "3", "rotor.overspeed": "furling tail", "rotor.limit_wind": "10 m/s",
    "rotor.brake": "switch that shorts the generator", "generator.emf_constant": "12 rpm/V",
    "generator.winding_resistance": "0.8 ohm", "generator.phases": "three-phase", "storage.voltage": "24 V",
    "storage.chemistry": "flooded lead-acid", "storage.capacity": "120 Ah", "mast.height": "7 m",
    "mast.kind": "free-standing pole", "site.mean_wind": "5 m/s", "blade.material": "wood",
}  # fmt: skip


def solved(s, **values):
    """Put that machine on the sheet, and more; of a neighbour by label, kind and distance."""
    typed = SOLVED | {name.replace("__", "."): value for name, value in values.items()}
    sheet.set_values(s, records_of.find_revision(s), {name: {"typed": value} for name, value in typed.items()})


def near(label, kind, distance):
    """A neighbour."""
    return {f"neighbour__{label}__kind": kind, f"neighbour__{label}__distance": distance}
