"""The rule book: one module a subject, each a tuple of rules; this is where they come together."""

from __future__ import annotations

from calc.rules import dump, generator, house, inverter, mast, power, protection, rotor, storage, wiring
from calc.rules.engine import Rule

RULES: tuple[Rule, ...] = (
    *power.RULES,
    *rotor.RULES,
    *generator.RULES,
    *wiring.RULES,
    *protection.RULES,
    *storage.RULES,
    *dump.RULES,
    *inverter.RULES,
    *house.RULES,
    *mast.RULES,
)
