"""The dump load: where the power goes when the battery is full or gone."""

from __future__ import annotations

import numpy as np

from calc.finding import COMMON_PRACTICE, Act, Source
from calc.machine.battery import charge_top, has_battery, has_lithium
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.storage import DUMP_PLACES, DUMPS, MOUNTS, SECOND_MEANS
from calc.machine.catalogue.wiring import TO_DUMP
from calc.machine.currents import charging_current, run_capacity, wiring_practice
from calc.machine.inputs import Inputs, Unknown
from calc.machine.solving import nothing_limits
from calc.machine.storm import unloaded_held, unloaded_in_storm
from calc.physics import dump, wiring
from calc.physics.dump import DIVERSION, preferred_between
from calc.rules.dump_kits import controller, dump_ways, element_voltage
from calc.rules.engine import DANGER, FAIL, MARGINAL, OK, Judgement, Rule, at_least
from calc.rules.kits import held_earlier
from calc.rules.phrases import OVERCHARGED, gust_words
from calc.rules.sizing import fuse_ways
from calc.rules.sources import IEC_AMPACITY, NEC_AMPACITY, NEC_SMALL, UNLOADED
from calc.rules.ways import Try, Way, act, change, ladder
from calc.units import Num, show, show_down, show_up

ALWAYS = DUMPS[3]
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


def _no_dump(x: Inputs) -> Judgement:
    watched = has_lithium(x) and x.maybe(Sheet.storage.cell_monitor) is not False
    free = nothing_limits(x)

    def says() -> str:
        then = "its electronics disconnect it" if watched else "it is overcharged, or somebody disconnects it"
        held = "nothing on the sheet limits how fast it then runs" if free else "only its tail or the like holds it"
        return (
            f"Nothing takes the power when the battery is full: {then}. A rotor whose battery is disconnected loses "
            f"its load, and {held}."
        )

    # Overcharged lithium burns, and a rotor that nothing limits throws its blades.
    return Judgement(DANGER if free or (has_lithium(x) and not watched) else FAIL, says, lambda: dump_ways(x))


def _standing(V: Num) -> str:
    """What the half as much again of NEC 706.23 is at a voltage [V]: Article 706 begins above 60 V DC (706.1)."""
    return "required by NEC 706.23" if np.all(np.asarray(V) > ARTICLE_706) else "good practice"


def _power(x: Inputs) -> Judgement | Unknown:
    kind, source, V = x.dump.kind, charging_current(x), x.maybe(Sheet.storage.voltage)
    if kind == "none":
        return _no_dump(x)
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
            f"The dump load takes {show(P_dump, 'W')}, and up to {show(P, 'W', 2)} comes: {source.said()} at "
            f"{show(V, 'V')}. One and a half times that is {_standing(V)}, {show(DIVERSION * P, 'W', 2)}.{held}"
        )

    def ways() -> list[Way]:
        if P_dump >= DIVERSION * P:
            return [change("Have the charge controller switch the dump load.", {Sheet.dump.kind: DUMPS[1]})]
        return [*_less(x), *dump_ways(x)]

    return Judgement(level, says, ways, P_dump, P, "W", margin)


def _less(x: Inputs) -> list[Way]:
    """To hold the rotor back first, where nothing does: it is the storm's power that a dump load is then asked for."""
    return held_earlier(x) if nothing_limits(x) else []


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
    place, found = x.dump.place, unloaded_held(x) or unloaded_in_storm(x)
    who = _who(x)
    if place == DUMP_PLACES[0]:
        return Judgement(
            OK,
            lambda: (
                "The dump load stays on the rotor when the battery is disconnected; whether its control then works was "
                f"not checked. {who} can disconnect it while the rotor turns."
            ),
        )
    free = nothing_limits(x)

    def says() -> str:
        means = f"the {x.maybe(Sheet.rotor.overspeed)}"
        when = "" if found is None else f"in {gust_words(found.wind)}" if free else f"before {means} acts"
        height = "" if found is None else f", up to {show(found.peak, 'V', 2)} {when}"
        held = f"only {means} then holds the rotor"
        held = "nothing on the sheet then limits the rotor's speed" if free else held
        return (
            f"The dump load goes when the battery is disconnected, and {held}. {who} can do that while the rotor "
            f"turns. What sits between rectifier and battery gets the generator's open-circuit voltage{height}."
        )

    def ways() -> list[Way]:
        rated = "" if found is None else f" Rate everything on that side for {show_up(found.peak, 'V', 2)}."
        return [
            change(
                "Move the dump load and its control to the rectifier's side of whatever can disconnect the battery. "
                f"Feed it from there.{rated}",
                {Sheet.dump.place: DUMP_PLACES[0]},
            ),
            act(Act.DO, "Have whatever disconnects the battery brake the rotor first."),
        ]

    return Judgement(DANGER if free else FAIL, says, ways)


def _second(x: Inputs) -> Judgement:
    means, V = x.dump.second_means, charge_top(x)
    level = {"none": FAIL, SECOND_MEANS[1]: MARGINAL}.get(means, OK)

    def says() -> str:
        if means == "none":
            return (
                "If the dump load, its wire or its control fails, nothing else keeps the battery from overcharge. A "
                "heating wire burns out one day, and nobody sees it."
            )
        if level == MARGINAL:
            return (
                "If the dump load fails the battery's own electronics disconnect it. That saves the battery, and "
                "unloads the rotor."
            )
        return f"If the dump load fails there is {means}, by the sheet; whether it works was not checked."

    def ways() -> list[Way]:
        at = "" if V is None else f", set a little above the {show(V, 'V', 4)} at which the first one works"
        return [change(f"Fit {means}{at}.", {Sheet.dump.second_means: means}) for means in SECOND_MEANS[2:]]

    return Judgement(level, says, ways)


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
        enough = "no less" if takes >= 0 else "less"
        return (
            f"At {show(V, 'V', 4)} the dump load makes {show(heat_made, 'W', 2)} of heat, {enough} "
            f"than the {show(P, 'W', 2)} that come; it is rated for {show(P_dump, 'W')}: "
            f"{'enough' if rated >= 0 else 'too little'}."
        )

    def more() -> str:
        return f"Of {show(R, 'ohm')}, it draws {show(drawn, 'A', 2)}, and the generator gives up to {source.said()}."

    def ways() -> list[Way]:
        fits = preferred_between(float(dump.resistance_for(V, P_dump)), float(dump.resistance_for(V, P)))
        other = change("Use a dump load of {0}, measured hot.", *ladder(Sheet.dump.resistance, fits))
        return [*_less(x), *([other] if fits else dump_ways(x))]

    return Judgement(level, says, ways, heat_made, P_dump, "W", margin, more)


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
            f"The dump load draws {show(I, 'A', 2)} at the highest charge voltage, {show(V, 'V', 4)}; its controller "
            f"is rated for {show(rating, 'A')}: {enough}. The load is made for {show(own, 'V')}, {suits} that voltage."
        )

    return Judgement(level, says, lambda: _controller_ways(x, float(I), float(V)), I, rating, "A", margin)


def _controller_ways(x: Inputs, I: float, V: float) -> list[Way]:
    """A larger controller with the circuit for it, an element for a higher voltage, or both."""
    rating, own = float(x.dump.controller_current), float(x.dump.voltage)
    element: Try = {Sheet.dump.voltage: element_voltage(V)} if own < V else {}
    if rating >= I:
        return [change("Use a dump load made for {0}.", element)]
    also = ", and a dump load made for {1}" if element else ""
    kit = controller(x, I)
    larger = [change(f"Use a controller or relay for {{0}} DC for the dump load{also}.", _after_first(kit, element))]
    each = show_up(V / rating, "ohm", 2)
    split = f"Split the dump load: elements of {each} or more, each on a controller of its own."
    return [*(larger if kit else []), act(Act.DO, split)]


def _after_first(kit: Try, more: Try) -> Try:
    """The first value of a kit, what is set with it, and then the rest of the kit."""
    first = dict(list(kit.items())[:1])
    return {**first, **more, **kit}


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

    def ways() -> list[Way]:
        return [*fuse_ways(x, x.label or "", float(need) / wiring.CONTINUOUS), *_smaller_controller(x, float(rating))]

    if fuse is None and x.maybe(Sheet.cable.fused) is False:
        return Judgement(DANGER, lambda: "No fuse protects the wire to the dump load, and the battery feeds it.", ways)
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
            f"Wire and fuse of the dump load should take {show(need, 'A')}: the fuse is {show(fuse, 'A')}, and "
            f"{wiring.size_name(float(A))} may carry {show(I_z, 'A')}, with a fuse of {show_down(most, 'A')} at most. "
            f"That is one and a half times its controller's {show(rating, 'A')}, so that neither ever disconnects it "
            "from the rotor."
        )

    def more() -> str:
        return f"What the wire may carry is told {capacity.standing()}."

    return Judgement(level, says, ways, least, need, "A", margin, more)


def _smaller_controller(x: Inputs, rating: float) -> list[Way]:
    """Where the controller is rated for more than the dump load draws, wire and fuse need not follow it."""
    V, R = charge_top(x), x.maybe(Sheet.dump.resistance)
    kit = {} if V is None or R is None else controller(x, float(dump.current(V, R)))
    if not kit or float(kit[Sheet.dump.controller_current]) >= rating:
        return []
    return [change("Use a controller for {0}: the dump load draws no more. Wire and fuse then follow it.", kit)]


#: What it means for the dump load to sit there.
MOUNTED = {
    MOUNTS[0]: (OK, "that does not burn, and the air carries the heat off. How near anything else is was not checked."),
    MOUNTS[1]: (DANGER, "and it burns: elements glow at several hundred degrees, for hours, when nobody is there."),
    MOUNTS[2]: (FAIL, "where the heat cannot leave. What is in it gets as hot as the elements."),
}


def _mount(x: Inputs) -> Judgement:
    level, why = MOUNTED[x.dump.mounted]
    P = x.maybe(Sheet.dump.power)

    def ways() -> list[Way]:
        heat = "it" if P is None else f"its {show(P, 'W')} of heat"
        return [
            change(
                f"Mount the dump load on stone, concrete or metal, behind a guard, with free air for {heat}. Keep 1 m "
                "from anything that burns (common practice, no source).",
                {Sheet.dump.mounted: MOUNTS[0]},
            )
        ]

    return Judgement(level, lambda: f"The dump load is in or on {x.dump.mounted}, {why}", ways)


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
