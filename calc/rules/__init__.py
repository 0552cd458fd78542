"""The rule book: one module a subject, each a tuple of rules; this is where they come together."""

from __future__ import annotations

from calc.rules import generator, house, inverter, loads, mast, power, rotor, storage, storage_care, wiring
from calc.rules.engine import Rule

RULES: tuple[Rule, ...] = (
    *power.RULES,
    *rotor.RULES,
    *generator.RULES,
    *wiring.RULES,
    *loads.RULES,
    *storage.RULES,
    *storage_care.RULES,
    *inverter.RULES,
    *house.RULES,
    *mast.RULES,
)
