"""What is claimed, and what the site offers."""

from __future__ import annotations

from calc.finding import COMMON_PRACTICE, Act, Source
from calc.machine.catalogue import Sheet
from calc.machine.inputs import Inputs, Unknown
from calc.machine.rotor_curves import LEAST_POWER, is_vertical, power_share
from calc.machine.site import AIR_NEEDS, HUB_NEEDS, air_density, hub_wind
from calc.physics import wind
from calc.rules.engine import FAIL, Judgement, Rule, at_least, at_most
from calc.rules.kits import TALLEST
from calc.rules.mast_kits import taller_mast
from calc.rules.sources import BETZ_SOURCE, LOG_PROFILE
from calc.rules.ways import Way, act
from calc.units import Num, show

CLAIM_NEEDS = (
    Sheet.claim.power,
    Sheet.claim.wind_speed,
    Sheet.rotor.diameter,
    *AIR_NEEDS,
)
#: Mean wind at the rotor below which a machine is a poor bargain, and from which it is worth while. [m/s]
POOR, WORTHWHILE = 3.5, 4.5
#: Share of the wind's mean power that such machines give over a year. From memory.
YEARLY_SHARE = 0.2


def _claimed(x: Inputs) -> tuple[Num, Num, Num, Num]:
    P, V = x.need(Sheet.claim.power), x.need(Sheet.claim.wind_speed)
    rho = air_density(x)
    return P, V, rho, wind.power_in_wind(rho, wind.swept_area(x.rotor.diameter), V)


def _expect(x: Inputs, Cp: Num) -> list[Way]:
    _, V, _, P_wind = _claimed(x)
    if Cp < LEAST_POWER:
        return [act(Act.EXPECT, "Expect nothing: blades of this shape, set at this angle, give no power.")]
    said = f"Expect {show(Cp * P_wind, 'W', 2)} at most at the shaft in {show(V, 'm/s')}, and less out of the cable."
    return [act(Act.EXPECT, said)]


def _betz(x: Inputs) -> Judgement:
    P, V, rho, P_wind = _claimed(x)
    limit, (Cp, how) = wind.BETZ * P_wind, power_share(x)
    level, margin = at_most(P, limit)

    def says() -> str:
        verdict = "is impossible" if margin < 0 else "lies within what is possible"
        return (
            f"{show(P, 'W')} at {show(V, 'm/s')} {verdict}: a rotor of {show(x.rotor.diameter, 'm')} has "
            f"{show(limit, 'W', 2)} at most (Betz). "
            f"The wind through it carries {show(P_wind, 'W', 2)}; the claim is {show(P / P_wind, '%', 2)} of that."
        )

    def more() -> str:
        if Cp < LEAST_POWER:
            return ""
        return (
            f"At its best such a rotor takes {show(Cp, '%', 2)} of the wind's power ({how}). {show(P, 'W')} in "
            f"{show(V, 'm/s')} would need a rotor {show(wind.diameter_for(P, Cp, rho, V), 'm', 2)} across."
        )

    return Judgement(level, says, lambda: _expect(x, Cp), P, limit, "W", margin, more)


def _site(x: Inputs) -> Judgement | Unknown:
    V = hub_wind(x)
    if isinstance(V, Unknown):
        return V
    per_area = wind.mean_power_density(air_density(x), V, x.site.wind_spread)
    D = None if is_vertical(x) else x.maybe(Sheet.rotor.diameter)
    taken = None if D is None else (D, *power_share(x))
    level, margin = at_least(V, POOR, marginal=(WORTHWHILE - POOR) / POOR)

    def says() -> str:
        z1, z2 = (show(z, "m") for z in (x.site.wind_height, x.mast.height))
        if level == FAIL:
            held = f"too little: below {show(POOR, 'm/s')} a machine is a poor bargain"
        else:
            held = f"{show(WORTHWHILE, 'm/s')} or more is worth while"
        return (
            f"The wind at the rotor is {show(V, 'm/s', 2)} on average; {held}. {show(x.site.mean_wind, 'm/s')} at {z1} "
            f"become that at {z2} ({x.site.ground}). Over the year it carries {show(per_area, 'W/m2', 2)}."
        )

    def more() -> str:
        times = show(wind.pattern_factor(x.site.wind_spread), "", 2)
        text = f"That is {times} times what the cube of the mean speed suggests"
        if taken is None:
            return f"{text}."
        across, Cp, how = taken
        P = per_area * wind.swept_area(across)
        return (
            f"{text}: {show(P, 'W', 2)} through the rotor, of which it could take {show(Cp * P, 'W', 2)} on average at "
            f"its best ({show(Cp, '%', 2)}, {how})."
        )

    return Judgement(level, says, lambda: _windier(x, per_area), V, POOR, "m/s", margin, more)


def _windier(x: Inputs, per_area: Num) -> list[Way]:
    V1, z1, z0 = x.site.mean_wind, x.site.wind_height, wind.roughness_length(x.site.ground)
    z = float(wind.height_for(WORTHWHILE, V1, z1, z0))
    ways = taller_mast(x)
    if z > TALLEST:
        little = show(YEARLY_SHARE * per_area, "W", 2)
        ways.append(
            act(
                Act.MOVE,
                f"Choose a windier place: here {show(WORTHWHILE, 'm/s')} is reached only at about {show(z, 'm', 2)}.",
            )
        )
        ways.append(act(Act.EXPECT, f"Expect about {little} on average from each square metre of rotor."))
    return ways


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
