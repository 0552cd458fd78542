"""The rule book: one file a subject, each a tuple of rules; this is where they come together.

The order is that in which findings of one status stand on screens.
"""

from __future__ import annotations

from calc.rules import (
    battery_off,
    blade_life,
    blades,
    converter,
    drive,
    dump,
    earthing,
    field,
    fuses,
    generator,
    house,
    hub,
    inverter,
    inverter_loads,
    lines,
    loads,
    mast,
    match,
    power,
    protection,
    readings,
    rotor,
    storage,
    storage_care,
    storage_cells,
    strength,
    wiring,
    yields,
)
from calc.rules.engine import Rule

RULES: tuple[Rule, ...] = (
    *power.RULES,
    *rotor.RULES,
    *generator.RULES,
    *drive.RULES,
    *field.RULES,
    *converter.RULES,
    *match.RULES,
    *strength.RULES,
    *blades.RULES,
    *blade_life.RULES,
    *hub.RULES,
    *yields.RULES,
    *readings.RULES,
    *wiring.RULES,
    *fuses.RULES,
    *protection.RULES,
    *earthing.RULES,
    *loads.RULES,
    *storage.RULES,
    *storage_care.RULES,
    *storage_cells.RULES,
    *dump.RULES,
    *inverter.RULES,
    *inverter_loads.RULES,
    *battery_off.RULES,
    *house.RULES,
    *mast.RULES,
    *lines.RULES,
)
