"""Field coil of a car alternator: what it takes from the battery, wind or no wind."""

from __future__ import annotations

import numpy as np

from calc.finding import COMMON_PRACTICE, Source
from calc.machine.battery import has_battery, voltage_charging
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.generator import FIELD_ON
from calc.machine.field import field_power, has_coil
from calc.machine.inputs import Inputs, Unknown
from calc.machine.rotor_curves import power_share, refuse_vertical
from calc.machine.site import AIR_NEEDS, HUB_NEEDS, air_density, hub_wind
from calc.physics import wind
from calc.physics.calendar import DAY
from calc.rules.engine import FAIL, MARGINAL, OK, Judgement, Rule
from calc.units import show

#: Share of what the rotor could take on average that the field may take. Own choice, no source.
FIELD_SHARE = 0.25


def _field(x: Inputs) -> Judgement | Unknown:
    refuse_vertical(x)
    Vm = hub_wind(x)
    if isinstance(Vm, Unknown):
        return Vm
    V, cold, always = voltage_charging(x), x.generator.field_resistance, x.generator.field_supply == FIELD_ON
    P = np.asarray(field_power(x))
    Cp, _ = power_share(x)
    mean = Cp * wind.swept_area(x.rotor.diameter) * wind.mean_power_density(air_density(x), Vm, x.site.wind_spread)
    limit = FIELD_SHARE * mean
    level = np.where(limit < P, FAIL if always else MARGINAL, MARGINAL if always else OK)

    def says() -> str:
        calm = (
            f"It is always on, so that it takes {show(P * DAY, 'kWh', 2)} a day from the battery even without wind."
            if always
            else "It is cut off while the rotor is slow."
        )
        return (
            f"At {show(V, 'V')} the field coil takes {show(V / cold, 'A', 2)} cold and {show(P, 'W', 2)} once warm. "
            f"{calm} At its best the rotor takes {show(mean, 'W', 2)} on average over the year."
        )

    def remedy() -> str:
        switch = "Feed the field through a switch that is worked by the rotor's speed" if always else ""
        less = f"a coil that takes less than {show(limit, 'W', 2)}, a larger rotor, or magnets in place of the coil"
        return f"{switch}, and use {less}." if switch else f"Use {less}."

    return Judgement(level, says, remedy, P, limit, "W", (np.asarray(limit) - P) / limit)


RULES = (
    Rule(
        "generator.field",
        "What the field coil takes",
        "generator",
        (
            Sheet.generator.field_resistance,
            Sheet.generator.field_supply,
            Sheet.storage.chemistry,
            Sheet.storage.voltage,
            Sheet.rotor.diameter,
            Sheet.site.wind_spread,
            *HUB_NEEDS,
            *AIR_NEEDS,
        ),
        _field,
        (
            Source("Resistance between slip rings, 2.9 ohm at 20 degC", "a car maker's data, 1997", "reproduction"),
            Source("Residual field gives 1 to 2 V: without field current it does not begin", "", "from memory"),
            COMMON_PRACTICE,
        ),
        "Without its field the generator holds nothing: when the battery comes off, the rotor is unloaded, and shorted "
        "leads do not brake it.",
        applies=lambda x: has_coil(x) and has_battery(x),
    ),
)
