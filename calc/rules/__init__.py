"""The rule book: one module a subject, each a tuple of rules; this is where they come together."""

from __future__ import annotations

from calc.rules import (
    generator,
    house,
    inverter,
    mast,
    match,
    power,
    readings,
    rotor,
    storage,
    strength,
    wiring,
    yields,
)
from calc.rules.engine import Rule

RULES: tuple[Rule, ...] = (
    *power.RULES,
    *rotor.RULES,
    *generator.RULES,
    *match.RULES,
    *strength.RULES,
    *yields.RULES,
    *readings.RULES,
    *wiring.RULES,
    *storage.RULES,
    *inverter.RULES,
    *house.RULES,
    *mast.RULES,
)
