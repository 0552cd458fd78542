"""Whole sheets made up at random: every input of the catalogue, those with labels too, stated more often than not."""

from __future__ import annotations

import numpy as np

from calc.machine.catalogue import Sheet, catalogue
from calc.machine.entry import Entry, Value
from journal.book.quantity import parse
from tests.calc.test_doubt import random_sheet

#: Things of which a sheet can have several, and what the runs among them carry.
LABELS = {
    "cable": ("run", "inverter", "dump"),
    "load": ("lights",),
    "weighed": ("a", "b", "c"),
    "guy": ("low", "top"),
    "neighbour": ("lane", "farm"),
    "obstacle": ("hedge",),
    "place": ("field",),
}
CARRIES = {
    "run": ("generator after the rectifier", "generator before the rectifier"),
    "inverter": ("battery to inverter", "battery to loads"),
    "dump": ("to the dump load",),
}
#: What is left to the machine of :func:`tests.calc.test_doubt.random_sheet`, or would make it one that is not computed.
LEFT_OUT = frozenset({"rotor", "blade", "station", "polar", "claim", "measured", "converter"})
HERE = frozenset({
    "rotor.overspeed", "rotor.limit_wind", "rotor.brake", "blade.bolt_hole", "blade.bolts",
    "generator.field", "generator.phases", "generator.drive", "generator.emf_constant", "generator.ratio",
})  # fmt: skip
STATED = 0.7


def _value(entry: Entry, rng: np.random.Generator) -> Value:
    if entry.kind == "flag":
        return bool(rng.random() < 0.5)
    if entry.kind == "choice":
        return str(rng.choice(entry.choices))
    usual = parse(entry.example, entry, entry.path).value
    if entry.unit == "kelvin":
        return float(np.clip(usual + rng.uniform(-15.0, 15.0), entry.low, entry.high))
    return float(np.clip(usual * 2.0 ** rng.uniform(-1.5, 1.5), entry.low, entry.high))


def whole_sheet(seed: int) -> dict[str, Value]:
    """A sheet in SI by full name."""
    rng = np.random.default_rng(seed)
    sheet: dict[str, Value] = dict(random_sheet(rng))
    for entry in catalogue().values():
        if entry.recorded or (entry.group in LEFT_OUT and entry.path not in HERE):
            continue
        if entry.path in HERE and not entry.path.startswith(("rotor.", "blade.")):
            continue
        for label in LABELS.get(entry.group, (None,)):
            name = entry.named(label)
            if name not in sheet and rng.random() < STATED:
                sheet[name] = _value(entry, rng)
    for label, words in CARRIES.items():
        sheet[Sheet.cable.carries[label].full] = str(rng.choice(words))
    kinds = ["flooded lead-acid", "AGM lead-acid", "LiFePO4", "none"]
    sheet["storage.chemistry"] = str(rng.choice(kinds, p=[0.4, 0.2, 0.35, 0.05]))
    return sheet
