"""Field coil of a car alternator: what it takes from the battery, wind or no wind."""

from __future__ import annotations

import numpy as np

from calc.finding import COMMON_PRACTICE, Act, Source
from calc.machine.battery import has_battery, voltage_charging
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.generator import FIELD_ON, FIELD_SWITCHED
from calc.machine.field import field_power, has_coil
from calc.machine.inputs import Inputs, Unknown
from calc.machine.rotor_curves import power_share, refuse_vertical
from calc.machine.site import AIR_NEEDS, HUB_NEEDS, air_density, hub_wind
from calc.physics import wind
from calc.physics.calendar import DAY
from calc.rules.engine import FAIL, MARGINAL, OK, Judgement, Rule
from calc.rules.ways import Try, Way, act, change, ladder
from calc.units import show

#: Share of what the rotor could take on average that the field may take. Own choice, no source.
FIELD_SHARE = 0.25
#: Resistances of field coils, for 12 V, for 24 V and wound anew. From memory. [ohm]
COILS = (2.5, 3.0, 3.5, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 15.0, 20.0, 30.0, 50.0)


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
        held = "more" if limit < P else "less"
        calm = (
            f"It is always on and takes {show(P * DAY, 'kWh', 2)} a day from the battery even without wind."
            if always
            else "It is cut off while the rotor is slow."
        )
        return (
            f"The warm field coil takes {show(P, 'W', 2)}, {held} than a quarter of the {show(mean, 'W', 2)} that the "
            f"rotor takes on average at its best. {calm}"
        )

    def more() -> str:
        return f"At {show(V, 'V')} it takes {show(V / cold, 'A', 2)} cold."

    left = (np.asarray(limit) - P) / limit
    return Judgement(
        level, says, lambda: _ways(float(cold), float(P / limit), always=always), P, limit, "W", left, more
    )


def _ways(cold: float, share: float, *, always: bool) -> list[Way]:
    """A switch, another coil where it takes more than its share of the limit, or magnets."""
    # One made for twice the voltage has four times the resistance.
    coils = [R for R in COILS if cold * max(share, 1.0) < R <= 4.2 * cold]
    less = change("Use a field coil of {0} or more.", *ladder(Sheet.generator.field_resistance, coils))
    magnets = act(Act.DO, "A generator with permanent magnets needs no field current.")
    if not always:
        return [less, magnets]
    switched: Try = {Sheet.generator.field_supply: FIELD_SWITCHED}
    both: list[Try] = [{**switched, Sheet.generator.field_resistance: R} for R in coils]
    by_speed = "Feed the field through a switch worked by the rotor's speed"
    ways = [change(f"{by_speed}.", switched)]
    if share > 1.0:
        ways.append(change(f"{by_speed}, and use a coil of {{1}} or more.", *both))
    return [*ways, magnets]


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
