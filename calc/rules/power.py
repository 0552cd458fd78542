"""What is claimed, and what the site offers."""

from __future__ import annotations

import numpy as np

from calc.finding import COMMON_PRACTICE, Source
from calc.machine.catalogue import Sheet
from calc.machine.inputs import Inputs, Unknown
from calc.machine.rotor_curves import LEAST_POWER, is_vertical, power_share
from calc.machine.site import AIR_NEEDS, HUB_NEEDS, air_density, hub_wind
from calc.physics import wind
from calc.rules.engine import Judgement, Rule, at_least, at_most
from calc.rules.sources import BETZ_SOURCE, LOG_PROFILE
from calc.units import Num, show

CLAIM_NEEDS = (
    Sheet.claim.power,
    Sheet.claim.wind_speed,
    Sheet.rotor.diameter,
    *AIR_NEEDS,
)
#: Mean wind at the rotor below which a machine is a poor bargain, and from which it is worth while. [m/s]
POOR, WORTHWHILE = 3.5, 4.5
#: Tallest mast a builder is likely to raise without a crane. [m]
TALLEST = 30.0


def _claimed(x: Inputs) -> tuple[Num, Num, Num, Num]:
    P, V = x.need(Sheet.claim.power), x.need(Sheet.claim.wind_speed)
    rho = air_density(x)
    return P, V, rho, wind.power_in_wind(rho, wind.swept_area(x.rotor.diameter), V)


def _expect(x: Inputs, Cp: Num, how: str) -> str:
    P, V, rho, P_wind = _claimed(x)
    if Cp < LEAST_POWER:
        return "Blades of this shape, set at this angle, give no power: expect nothing."
    needed = wind.diameter_for(P, Cp, rho, V)
    return (
        f"At its best such a rotor takes {show(Cp, '%', 2)} of the wind's power ({how}): {show(Cp * P_wind, 'W', 2)} "
        f"at the shaft, and less after generator, rectifier and cable. {show(P, 'W')} at {show(V, 'm/s')} would need "
        f"a rotor {show(needed, 'm', 2)} across."
    )


def _betz(x: Inputs) -> Judgement:
    P, V, _, P_wind = _claimed(x)
    limit, (Cp, how) = wind.BETZ * P_wind, power_share(x)
    level, margin = at_most(P, limit)

    def says() -> str:
        start = (
            f"In {show(V, 'm/s')} the wind through a rotor {show(x.rotor.diameter, 'm')} across "
            f"carries {show(P_wind, 'W', 2)}, of which no bare rotor can take more than {show(limit, 'W', 2)} "
            "(Betz)."
        )
        share = f"The claimed {show(P, 'W')} is {show(P / P_wind, '%', 2)} of the wind's power"
        return f"{start} {share}, {'which is impossible' if margin < 0 else 'within that limit'}."

    return Judgement(level, says, lambda: _expect(x, Cp, how), P, limit, "W", margin)


def _site(x: Inputs) -> Judgement | Unknown:
    V = hub_wind(x)
    if isinstance(V, Unknown):
        return V
    k, D = x.site.wind_spread, None if is_vertical(x) else x.maybe(Sheet.rotor.diameter)
    per_area = wind.mean_power_density(air_density(x), V, k)
    Cp, how = power_share(x) if D is not None else (None, "")
    V1, z1, z2 = x.site.mean_wind, x.site.wind_height, x.mast.height
    ground = x.site.ground
    z0 = wind.roughness_length(ground)
    level, margin = at_least(V, POOR, marginal=(WORTHWHILE - POOR) / POOR)

    def says() -> str:
        text = (
            f"{show(V1, 'm/s')} at {show(z1, 'm')} become {show(V, 'm/s', 2)} at the rotor's {show(z2, 'm')} "
            f"({ground}), where common practice is {show(WORTHWHILE, 'm/s')} or more. The wind there carries "
            f"{show(per_area, 'W/m2', 2)} over the year, {show(wind.pattern_factor(k), '', 2)} times what the cube "
            "of the mean speed suggests"
        )
        if D is None or Cp is None:
            return text + "."
        P = per_area * wind.swept_area(D)
        return (
            f"{text}: {show(P, 'W', 2)} through the rotor, of which it could take {show(Cp * P, 'W', 2)} on "
            f"average at its best ({show(Cp, '%', 2)}, {how})."
        )

    def remedy() -> str:
        z = float(wind.height_for(WORTHWHILE, V1, z1, z0))
        if z <= TALLEST:
            return f"Put the rotor at {show(np.ceil(z * 2) / 2, 'm')} or higher, or choose a windier place."
        return (
            f"No ordinary mast is high enough: {show(WORTHWHILE, 'm/s')} is reached only at about "
            f"{show(z, 'm', 2)}. Choose a windier place, or expect about {show(0.2 * per_area, 'W', 2)} on average "
            "from each square metre of rotor."
        )

    return Judgement(level, says, remedy, V, POOR, "m/s", margin)


RULES = (
    Rule(
        "claim.betz",
        "Claimed power against the Betz limit",
        "claim",
        CLAIM_NEEDS,
        _betz,
        (BETZ_SOURCE,),
        each=True,
    ),
    Rule(
        "site.power",
        "Wind of the site at the rotor",
        "site",
        (*HUB_NEEDS, Sheet.site.wind_spread, *AIR_NEEDS),
        _site,
        (
            LOG_PROFILE,
            Source("P. Jain, Wind Energy Engineering", "eq. 3-3 and 9-2, Weibull and Rayleigh distributions"),
            COMMON_PRACTICE,
        ),
    ),
)
