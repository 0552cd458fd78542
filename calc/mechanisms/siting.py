"""How a place, a bearing or a head that does not turn keeps a sound machine from charging."""

from __future__ import annotations

from typing import cast

import numpy as np

from calc.finding import COMMON_PRACTICE
from calc.machine.catalogue import Sheet
from calc.machine.inputs import Unknown
from calc.machine.need import daily_need
from calc.machine.site import how_often, over_winds
from calc.mechanisms import altering
from calc.mechanisms.base import (
    EMF_SOUND,
    HARDLY,
    OPEN,
    Case,
    Correction,
    Indication,
    Mechanism,
    Telling,
    by_eye,
    grade,
    mean_wind,
)
from calc.physics import wind
from calc.physics.calendar import DAY
from calc.rules.limits import CLEAR
from calc.rules.sources import SITING, WEIBULL
from calc.units import Num, show

#: What the rotor could give at best over what the loads need. Own choice, no source.
TOO_LITTLE, PLENTY = 1.0, 2.0
#: Mean wind at the rotor below and above which a site is called poor or good, where nothing states a need. Common
#: practice, no source. [m/s]
POOR_SITE, GOOD_SITE = 3.0, 4.5


def _poor_wind(case: Case) -> Indication | Unknown:
    Vm = mean_wind(case.x, Sheet.site.wind_spread)
    if isinstance(Vm, Unknown):
        return Vm
    need, solved = daily_need(case.x), case.solved()
    if need is not None and isinstance(solved, Unknown):
        return solved
    if need is None or isinstance(solved, Unknown):
        return Indication(
            grade(Vm, POOR_SITE, GOOD_SITE),
            lambda: f"The mean wind at the rotor is {show(Vm, 'm/s', 2)}.",
            Vm, POOR_SITE, "m/s",
        )  # fmt: skip
    cp = solved.rotor.best()[1]
    weights = how_often(case.x, solved.winds, Vm)
    held = np.minimum(solved.winds, over_winds(np.minimum(solved.limit, 12.0)))
    swept = wind.swept_area(2.0 * np.asarray(solved.machine.R))
    of_wind = wind.power_in_wind(over_winds(solved.machine.rho), over_winds(swept), held)
    step = solved.winds[1] - solved.winds[0]
    could = cp * np.sum(weights * of_wind, axis=-1) * step * DAY
    ratio = could / need
    return Indication(
        grade(ratio, TOO_LITTLE, PLENTY),
        lambda: (
            f"In {show(Vm, 'm/s', 2)} on average this rotor, always at its best, could take {show(could, 'Wh', 2)} a "
            f"day; the loads need {show(need, 'Wh', 2)}, so by itself the wind is "
            f"{'enough' if ratio > 1 else 'too little'}."
        ),
        ratio, TOO_LITTLE,
    )  # fmt: skip


def _turbulent(case: Case) -> Indication | Unknown:
    x = case.x
    names = (Sheet.mast.height, Sheet.rotor.diameter, Sheet.mast.building_height)
    if missing := x.lacks(*names):
        return Unknown("", missing)
    h, D, building = (x.need(n) for n in names)
    clear = h - D / 2.0 - building
    speaks = np.where(np.asarray(clear) <= 0, 0.75, np.where(np.asarray(clear) >= CLEAR, -0.75, 0.0))
    return Indication(
        speaks,
        lambda: (
            f"The lowest point of the rotor stands {show(clear, 'm', 2)} above the highest thing within 150 m; "
            f"{show(CLEAR, 'm', 2)} is the usual advice, and in its lee the air is disturbed."
        ),
        clear, 0.0, "m",
    )  # fmt: skip


def _drag(case: Case) -> Indication | Unknown:
    solved = case.solved()
    read = [r for r in case.readings("rotor.speed", OPEN) if r.wind_low is not None]
    if isinstance(solved, Unknown):
        return solved
    if not read:
        return Unknown("A stiff bearing shows in the speed with nothing connected, which was not read in a known wind")
    r = read[-1]
    V = cast(Num, case.but(wind_low=r.wind_low, wind_high=r.wind_high, load=r.load).wind)
    free = solved.unloaded(over_winds(np.broadcast_to(V, solved.machine.variants)))[0][..., 0]
    ratio = r.value / np.maximum(free, 1e-9)
    return Indication(
        grade(ratio, 0.8, 0.95),
        lambda: f"With nothing connected {show(r.value, 'rpm')} was read ({r.label}), where {show(free, 'rpm', 2)} is "
        "computed with sound bearings.",
        ratio, 0.8, "%",
    )  # fmt: skip


MECHANISMS = (
    Mechanism(
        "site.wind-low",
        "Too little wind at the place",
        (
            HARDLY,
            "does not start",
            "battery flat",
            "less power than promised",
            "turns slowly or heavily",
            "gives less than it used to",
        ),
        _poor_wind,
        (WEIBULL, COMMON_PRACTICE),
        (
            Correction("a higher mast or another place", (Sheet.mast.height, Sheet.site.mean_wind)),
            Correction("a larger rotor", (Sheet.rotor.diameter,)),
            Correction("smaller loads", (Sheet.load.power["main"],)),
        ),
        (Telling("wind.speed", "a month's mean at the rotor well below that on the sheet", "as on the sheet or more"),),
        EMF_SOUND,
        designed=True,
    ),
    Mechanism(
        "site.turbulent",
        "Disturbed air behind buildings or trees",
        (
            HARDLY,
            "noise or shaking",
            "less power than promised",
            "gives less than it used to",
            "charging comes and goes",
            "faces the wrong way",
            "battery flat",
        ),
        _turbulent,
        (SITING,),
        (Correction("a mast that lifts the rotor clear of what stands around it", (Sheet.mast.height,)),),
        (Telling("wind.speed", "gusts far above the mean at rotor height, swinging about", "steady wind there"),),
        EMF_SOUND,
        designed=True,
    ),
    Mechanism(
        "bearing.drag",
        "A stiff, worn or rusted bearing",
        (
            "does not start",
            "noise or shaking",
            HARDLY,
            "less power than promised",
            "turns slowly or heavily",
            "gives less than it used to",
            "something gets hot",
        ),
        _drag,
        (COMMON_PRACTICE,),
        (
            Correction(
                "clean, grease or replace the bearings, and seal them against rain", (Sheet.generator.drag_torque,)
            ),
        ),
        (
            Telling("rotor.speed", "well below the computed speed with nothing connected", "as computed", OPEN),
            Telling("stop.time", "spun by hand it stops at once", "it runs on as it did when new"),
        ),
        EMF_SOUND,
        look="Play at the shaft, a grinding sound, rust or dry grease.",
        alters=(altering.dragging,),
    ),
    Mechanism(
        "yaw.fault",
        "Does not face the wind, or twists its cable off",
        (
            HARDLY,
            "faces the wrong way",
            "noise or shaking",
            "burning smell or no voltage",
            "less power than promised",
            "rotor ran away",
            "gives less than it used to",
            "charging comes and goes",
            "does not stop when braked",
            "tail folds too early or never",
        ),
        by_eye("Whether it faced the wind shows in no number on record: look"),
        (COMMON_PRACTICE,),
        (
            Correction("an upright mast, a free yaw bearing, a longer or larger tail"),
            Correction("a routine to untwist the cable, or slip rings"),
        ),
        (),
        EMF_SOUND,
        look="Compare it with a vane or a ribbon in several winds; count the turns of the hanging cable.",
        alters=(
            altering.off_wind,
            altering.circuit_open,
        ),
    ),
)
