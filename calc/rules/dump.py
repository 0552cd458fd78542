"""The dump load: where the power goes when the battery is full or gone."""

from __future__ import annotations

import numpy as np

from calc.finding import COMMON_PRACTICE, Source
from calc.machine.battery import charge_top, has_battery, has_lithium
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.storage import DUMP_PLACES, MOUNTS, SECOND_MEANS
from calc.machine.catalogue.wiring import TO_DUMP
from calc.machine.currents import Current, charging_current, fuse_window, run_capacity, wiring_practice
from calc.machine.inputs import Inputs, Unknown
from calc.machine.solving import nothing_limits
from calc.machine.storm import unloaded_in_storm
from calc.physics import dump, wiring
from calc.physics.dump import DIVERSION
from calc.rules.engine import DANGER, FAIL, MARGINAL, OK, Judgement, Rule, at_least
from calc.rules.phrases import OVERCHARGED, gust_words
from calc.rules.sources import IEC_AMPACITY, NEC_AMPACITY, NEC_SMALL, UNLOADED
from calc.units import Num, show, show_up

ALWAYS = "always connected"
#: Direct voltage above which Article 706 of the NEC of 2017 holds (706.1). [V]
ARTICLE_706 = 60.0
HOT = (
    "A dump load gets hot enough to set fire to what is near it. Mount it on something that cannot burn, with air "
    "around it and out of reach; keep its wires away from it."
)
NEC_LOAD = Source(
    "NEC 2017",
    "706.23(B)(2): load current within the controller's rating, load voltage above the battery's highest, load power "
    "150 % of the source, circuit 150 % of the controller; a duty above 60 V DC (706.1), below it good practice",
    "reproduction",
)
NEC_SECOND_CHARGE = Source(
    "NEC 2017",
    "706.23(B)(1): a second, independent means against overcharge; a duty above 60 V DC (706.1), below good practice",
    "reproduction",
)


def _has_dump(x: Inputs) -> bool:
    return has_battery(x) and x.maybe(Sheet.dump.kind) not in (None, "none")


def _top(x: Inputs) -> Num | Unknown:
    V = charge_top(x)
    return Unknown("", (Sheet.storage.charge_voltage,)) if V is None else V


def _wanted(x: Inputs, I: Num, hot: str = "") -> str:
    """The one size of dump load for a source of a current [A], as far as the sheet tells: its rating, and its ohms.

    Rated for half as much again as the source's rating, current times nominal voltage. At the highest charge voltage it
    takes all that the source gives, and no more than it is rated for.
    """
    V, top = x.maybe(Sheet.storage.voltage), charge_top(x)
    if V is None or top is None:
        return "at least 1.5 times the generator's greatest power"
    P = DIVERSION * I * V
    least, most = (show(dump.resistance_for(top, watts), "ohm", 2) for watts in (P, I * top))
    return f"{show_up(P, 'W', 2)} or more for hours, of {least} to {most}{hot} at {show(top, 'V', 4)}"


def _no_dump(x: Inputs, source: Current | Unknown) -> Judgement:
    watched = has_lithium(x) and x.maybe(Sheet.storage.cell_monitor) is not False
    free = nothing_limits(x)

    def says() -> str:
        then = "its electronics disconnect it" if watched else "it is overcharged, or somebody disconnects it"
        held = "nothing on the sheet limits how fast it then runs" if free else "only its tail or the like holds it"
        return (
            f"Nothing takes the power when the battery is full: {then}. A rotor whose battery is disconnected loses "
            f"its load, and {held}."
        )

    def remedy() -> str:
        size = "at least 1.5 times the generator's greatest power"
        size = size if isinstance(source, Unknown) else _wanted(x, source.amps)
        return (
            f"Fit a dump load that takes {size}, on the rectifier's side of whatever can disconnect the "
            f"battery, and a second means against overcharge that does not depend on it."
        )

    # Overcharged lithium burns, and a rotor that nothing limits throws its blades.
    return Judgement(DANGER if free or (has_lithium(x) and not watched) else FAIL, says, remedy)


def _standing(V: Num) -> str:
    """What the half as much again of NEC 706.23 is at a voltage [V]: Article 706 begins above 60 V DC (706.1)."""
    return "required by NEC 706.23" if np.all(np.asarray(V) > ARTICLE_706) else "good practice"


def _power(x: Inputs) -> Judgement | Unknown:
    kind, source, V = x.dump.kind, charging_current(x), x.maybe(Sheet.storage.voltage)
    if kind == "none":
        return _no_dump(x, source)
    if isinstance(source, Unknown):
        return source
    P_dump = x.maybe(Sheet.dump.power)
    missing = tuple(n for n, v in ((Sheet.dump.power, P_dump), (Sheet.storage.voltage, V)) if v is None)
    if P_dump is None or V is None:
        return Unknown("", missing)
    P = source.amps * V
    level, margin = at_least(P_dump, P, marginal=DIVERSION - 1.0)
    if kind == ALWAYS:
        level = np.maximum(level, MARGINAL)

    def says() -> str:
        held = " It is always connected, so it drains the battery in a calm too." if kind == ALWAYS else ""
        return (
            f"The generator gives up to {source.said()}, {show(P, 'W', 2)} at {show(V, 'V')}. "
            f"The dump load takes {show(P_dump, 'W')}; one and a half times the generator's power is {_standing(V)}, "
            f"{show(DIVERSION * P, 'W', 2)}.{held}"
        )

    def remedy() -> str:
        if P_dump >= DIVERSION * P:
            return "Let the charge controller or a relay on the battery's voltage switch the dump load."
        return f"Fit a dump load that takes {_wanted(x, source.amps)}."

    return Judgement(level, says, remedy, P_dump, P, "W", margin)


def _who(x: Inputs) -> str:
    """What can disconnect the battery from the rotor."""
    watched = x.maybe(Sheet.storage.cell_monitor) if has_lithium(x) else False
    if watched:
        return "The battery's electronics, which watch its cells, or a fuse"
    if watched is None:
        return "The battery's electronics, if it has any, or a fuse"
    return "A fuse, a switch or a loose terminal"


def _open(x: Inputs) -> Judgement:
    """Judge what happens when the battery is disconnected while the rotor turns.

    On the rectifier's side the dump load stays on the rotor. On the battery's side it goes with the battery:
    the rotor runs free, which is a danger where nothing limits its speed by itself, and else damages what sits
    between rectifier and battery.
    """
    place, found = x.dump.place, unloaded_in_storm(x)
    who = _who(x)
    if place == DUMP_PLACES[0]:
        return Judgement(
            OK,
            lambda: (
                f"{who} can disconnect the battery while the rotor turns. The dump load stays on the rectifier and can "
                "hold the rotor, if its control works with the battery gone; that was not checked."
            ),
        )
    free = nothing_limits(x)

    def says() -> str:
        height = "" if found is None else f", up to {show(found.peak, 'V', 2)} in {gust_words(found.wind)}"
        speed = (
            "Nothing on the sheet then limits the rotor's speed"
            if free
            else f"Only the {x.maybe(Sheet.rotor.overspeed)} is left to hold the rotor"
        )
        return (
            f"{who} can disconnect the battery while the rotor turns, and the dump load goes with it. {speed}, and "
            f"what sits between the rectifier and the battery gets the generator's open-circuit voltage{height}."
        )

    def remedy() -> str:
        rated = "" if found is None else f", and rate everything on that side for {show(found.peak, 'V', 2)}"
        return (
            "Move the dump load and its control to the rectifier's side of whatever can disconnect the battery, with "
            f"a supply that does not come through the battery{rated}; or let the same signal brake the rotor first."
        )

    return Judgement(DANGER if free else FAIL, says, remedy)


def _second(x: Inputs) -> Judgement:
    means, V = x.dump.second_means, charge_top(x)
    level = {"none": FAIL, SECOND_MEANS[1]: MARGINAL}.get(means, OK)

    def says() -> str:
        if means == "none":
            return (
                "If the dump load, its wire or its control fails, nothing else keeps the battery from overcharge. A "
                "heating wire burns out one day and nobody sees it."
            )
        if level == MARGINAL:
            return (
                "If the dump load fails the battery's own electronics disconnect it. That saves the battery, and "
                "unloads the rotor."
            )
        return f"If the dump load fails, the sheet names {means}. Whether it works was not checked."

    def remedy() -> str:
        at = "" if V is None else f", set a little above the {show(V, 'V', 4)} at which the first one works"
        return f"Fit a second dump load or a control that brakes the rotor, independent of the first{at}."

    return Judgement(level, says, remedy)


def _element(x: Inputs) -> Judgement | Unknown:
    """Judge the resistance: it must take all that the generator gives, and be rated for its heat then."""
    V, source = _top(x), charging_current(x)
    if isinstance(V, Unknown):
        return V
    if isinstance(source, Unknown):
        return source
    R, P_dump = x.maybe(Sheet.dump.resistance), x.maybe(Sheet.dump.power)
    P = source.amps * V
    if R is None or P_dump is None:
        return Unknown("", tuple(n for n, v in ((Sheet.dump.resistance, R), (Sheet.dump.power, P_dump)) if v is None))
    drawn, heat_made = dump.current(V, R), dump.power(V, R)
    takes, rated = np.asarray(heat_made) / P - 1.0, np.asarray(P_dump) / heat_made - 1.0
    margin = np.minimum(takes, rated)
    level = np.where(margin < 0, FAIL, OK)

    def says() -> str:
        first = "no less" if takes >= 0 else "less"
        second = "enough" if rated >= 0 else "too little"
        return (
            f"At {show(V, 'V', 4)} the dump load of {show(R, 'ohm')} draws {show(drawn, 'A', 2)} and makes "
            f"{show(heat_made, 'W', 2)} of heat. That is {first} than the {show(P, 'W', 2)} the generator gives with "
            f"{source.said()}. The load is rated for {show(P_dump, 'W')}: {second}."
        )

    def remedy() -> str:
        most = dump.resistance_for(V, P)
        least = dump.resistance_for(V, P_dump)
        if least <= most:
            return f"Use a resistance between {show(least, 'ohm', 2)} and {show(most, 'ohm', 2)}, hot."
        return f"Fit a dump load that takes {_wanted(x, source.amps, ' hot')}."

    return Judgement(level, says, remedy, heat_made, P_dump, "W", margin)


def _controller(x: Inputs) -> Judgement | Unknown:
    V = _top(x)
    if isinstance(V, Unknown):
        return V
    R, P, own = x.maybe(Sheet.dump.resistance), x.maybe(Sheet.dump.power), x.dump.voltage
    if R is None and P is None:
        return Unknown("", (Sheet.dump.resistance,))
    I = dump.current(V, R) if R is not None else np.asarray(P) / V
    rating = x.dump.controller_current
    margin = np.minimum((np.asarray(rating) - I) / rating, (np.asarray(own) - V) / own)
    level = np.where(margin < 0, FAIL, OK)

    def says() -> str:
        enough, suits = ("enough" if rating >= I else "too little"), ("above" if own >= V else "below")
        return (
            f"At the highest charge voltage of {show(V, 'V', 4)} the dump load draws {show(I, 'A', 2)}. Its controller "
            f"is rated for {show(rating, 'A')}: {enough}. The load is rated for {show(own, 'V')}, {suits} that voltage."
        )

    def remedy() -> str:
        ways = []
        if rating < I:
            ways.append(
                f"a controller or relay for {show_up(I, 'A', 2)} or more of direct current, or a load of "
                f"{show_up(V / rating, 'ohm', 2)} or more on each of several controllers"
            )
        if own < V:
            ways.append(f"a load rated for more than {show(V, 'V', 4)}")
        return f"Use {', and '.join(ways)}."

    return Judgement(level, says, remedy, I, rating, "A", margin)


def _fuse_of(x: Inputs) -> Num | None:
    """Rating of what protects the run, in [A]: its own fuse, or the battery's main fuse where it has none."""
    bare = x.maybe(Sheet.cable.fused) is False
    return x.maybe(Sheet.protection.main_fuse_rating if bare else Sheet.cable.fuse)


def _circuit(x: Inputs) -> Judgement | Unknown:
    """Judge wire and fuse of the dump load: both for 150 % of the controller's rating.

    The NEC makes a duty of the 150 % above 60 V DC (706.1, 706.23); elsewhere less than that but no less than the
    controller's rating is marginal. A fuse beyond what the wire takes lets the wire burn: danger.
    """
    rating, fuse, capacity = x.dump.controller_current, _fuse_of(x), run_capacity(x, x.label or "")
    if isinstance(capacity, Unknown):
        return capacity
    need, I_z, most, A = DIVERSION * rating, capacity.amps, capacity.fuse, x.need(Sheet.cable.area)

    def remedy() -> str:
        size = capacity.smallest_for(float(need) / wiring.CONTINUOUS)
        high = float(most)
        if high < need:
            wire = f"{wiring.size_name(size)} or more" if size else "a wire thicker than the table has"
            return f"Use {wire}, which carries {show_up(need, 'A')}, then a fuse of {show_up(need, 'A')} or more."
        return f"Fit {fuse_window(float(need), high, wiring_practice(x))}, rated for DC at the battery's voltage."

    if fuse is None and x.maybe(Sheet.cable.fused) is False:
        return Judgement(
            DANGER, lambda: "No fuse protects the wire to the dump load, and the battery feeds it.", remedy
        )
    if fuse is None:
        return Unknown("", x.lacks(Sheet.cable.fuse))
    least = np.minimum(np.asarray(I_z), fuse)
    V = charge_top(x)
    duty = wiring_practice(x) == "NEC" and V is not None and np.asarray(V) > ARTICLE_706
    short = np.where(least < need, np.where(duty, FAIL, MARGINAL), OK)
    level = np.where(np.asarray(fuse) > most, DANGER, np.where(least < rating, FAIL, short))
    margin = np.minimum((np.asarray(most) - fuse) / most, (least - need) / need)

    def says() -> str:
        return (
            f"Wire and fuse of the dump load should be rated for one and a half times the controller's "
            f"{show(rating, 'A')}, {show(need, 'A')}, so that they never disconnect it from the rotor. "
            f"{wiring.size_name(float(A))} may carry {show(I_z, 'A')} ({capacity.standing()}), the fuse is "
            f"{show(fuse, 'A')}, and the wire allows a fuse of {show(most, 'A')} at most."
        )

    return Judgement(level, says, remedy, least, need, "A", margin)


#: What it means for the dump load to sit there.
MOUNTED = {
    MOUNTS[0]: (OK, "that does not burn, and the air carries the heat off. How near anything else is was not checked."),
    MOUNTS[1]: (DANGER, "and it burns: elements glow at several hundred degrees, for hours, when nobody is there."),
    MOUNTS[2]: (FAIL, "where the heat cannot leave. What is in it gets as hot as the elements."),
}


def _mount(x: Inputs) -> Judgement:
    level, why = MOUNTED[x.dump.mounted]
    P = x.maybe(Sheet.dump.power)

    def remedy() -> str:
        heat = "its heat" if P is None else f"the {show(P, 'W')} of heat"
        return (
            f"Mount it on stone, concrete or metal with free air above and below it for {heat}, behind a guard, and "
            "1 m from anything that burns (common practice, no source)."
        )

    return Judgement(level, lambda: f"The dump load is in or on {x.dump.mounted}, {why}", remedy)


RULES = (
    Rule(
        "storage.dump",
        "Where the power goes when the battery is full",
        "storage",
        (Sheet.dump.kind,),
        _power,
        (NEC_LOAD, UNLOADED),
        OVERCHARGED,
        applies=has_battery,
    ),
    Rule(
        "dump.open-charge",
        "Battery disconnected while the rotor turns",
        "dump",
        (Sheet.dump.place,),
        _open,
        (
            UNLOADED,
            Source("NEC 2017", "694.7(C): speed held by a dump load needs a second means", "reproduction"),
        ),
        "A rotor that loses its load runs away within seconds and throws its blades, and its voltage can kill. Stop "
        "the rotor before the battery is disconnected for any work.",
        applies=_has_dump,
    ),
    Rule(
        "dump.second-means",
        "Second means against overcharge",
        "dump",
        (Sheet.dump.second_means,),
        _second,
        (NEC_SECOND_CHARGE,),
        OVERCHARGED,
        applies=_has_dump,
    ),
    Rule(
        "dump.element",
        "Resistance and heat of the dump load",
        "dump",
        (Sheet.dump.kind,),
        _element,
        (Source("Power of a resistance, V^2/R"), COMMON_PRACTICE),
        HOT,
        applies=_has_dump,
    ),
    Rule(
        "dump.controller",
        "Ratings of the dump load and its controller",
        "dump",
        (Sheet.dump.controller_current, Sheet.dump.voltage),
        _controller,
        (NEC_LOAD,),
        HOT,
        applies=lambda x: _has_dump(x) and x.maybe(Sheet.dump.kind) != ALWAYS,
    ),
    Rule(
        "dump.mount",
        "What the dump load is mounted on",
        "dump",
        (Sheet.dump.mounted,),
        _mount,
        (COMMON_PRACTICE,),
        HOT,
        applies=_has_dump,
        deadly=True,
    ),
    Rule(
        "dump.circuit",
        "Wire and fuse of the dump load",
        "cable",
        (
            Sheet.dump.controller_current,
            Sheet.cable.area,
            Sheet.cable.material,
            Sheet.cable.insulation,
            Sheet.cable.laid,
            Sheet.cable.ambient,
        ),
        _circuit,
        (NEC_LOAD, NEC_SMALL, *IEC_AMPACITY, *NEC_AMPACITY),
        "A dump load whose wire or fuse fails lets the battery be overcharged and the rotor run away.",
        each=True,
        applies=lambda x: x.maybe(Sheet.cable.carries) == TO_DUMP,
    ),
)
