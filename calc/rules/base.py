"""Whether anchors stay in the ground, and whether the base stands."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from calc.finding import COMMON_PRACTICE, Source
from calc.machine.anchors import anchor_holds, soil_of
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.guys import (
    AT_HAND,
    BURIED,
    HINGE_BLOCK,
    PLATE,
    POST_IN_GROUND,
    ROCK,
    SCREW,
    SPREAD_BLOCK,
    TREE,
)
from calc.machine.catalogue.mast import FREE, GUYED, LATTICE, OTHER
from calc.machine.entry import Entry, Value
from calc.machine.inputs import Inputs, Unknown
from calc.machine.lattice_loads import LatticeCase, lattice_storm
from calc.machine.mast_loads import MastCase, guy_labels, guy_pull, mast_storm
from calc.machine.structure import TOP_NEEDS
from calc.physics.arrays import largest
from calc.physics.structure import ground
from calc.rules.engine import DANGER, OK, Judgement, Rule
from calc.rules.reserves import (
    BLOCKS,
    DRAG,
    FACTORS,
    FALLS,
    GROUND,
    GROUND_MEMORY,
    GROUND_TABLE,
    ICE,
    LATTICE_DRAG,
    TOP,
    by_reserve,
    ice_words,
    newtons,
    reserve_words,
    times_as_much,
)
from calc.rules.ways import Try, Way, change
from calc.units import Num, show, show_up

#: Earth that covers a block by which an anchor is buried. Common practice. [m]
COVER = 0.3
#: What gives way over what the building code permits of ground. From memory.
ULTIMATE = 2.0
#: Widths of concrete around a pole that is set into the ground. [m]
_HOLES = (0.3, 0.4, 0.5, 0.6, 0.8)
_DEPTHS = (0.8, 1.0, 1.2, 1.5, 1.8, 2.1, 2.5, 3.0)

PULLED_OUT = f"An anchor that comes out brings the whole mast down. {FALLS}"
EARTH = Source("Rankine's earth pressure, weight of block and earth", "", "from memory")
SCREWS = Source("Screw anchors: 9 times the strength of clay; weight of a cone of earth", "", "reproduction")


# --- anchors ----------------------------------------------------------------------------------------------------------


def _anchor(x: Inputs) -> Judgement | Unknown:
    guy, label = x.guy[x.label or ""], x.label or ""
    if guy.anchor in (TREE, AT_HAND):
        return _not_an_anchor(x, label)
    found = guy_pull(x, label)
    if isinstance(found, Unknown):
        return found
    if guy.anchor == ROCK:
        return Judgement(OK, lambda: f"It is bolted into rock or a foundation, by the sheet. {_tried(found.tension)}")
    holds = anchor_holds(x, label)
    if isinstance(holds, Unknown):
        return holds
    eta = holds / found.tension
    level, margin = by_reserve(eta, GROUND)

    def says() -> str:
        return (
            f"The anchor ({guy.anchor}) comes out at about {newtons(holds)}, {times_as_much(eta)} the worst "
            f"storm's {newtons(found.tension)}: {reserve_words(eta, GROUND)}. The ground: {x.base.soil}."
        )

    def more() -> str:
        return (
            "What ground holds is known to a factor of two at best, and is half of it when soaked. "
            f"{_tried(found.tension)}"
        )

    return Judgement(level, says, lambda: _anchor_ways(x, label), eta, GROUND.enough, "", margin, more)


def _tried(T: Num) -> str:
    return f"On the raising day pull each anchor with {newtons(1.5 * T)}, a scale in the rope."


def _not_an_anchor(x: Inputs, label: str) -> Judgement:
    tree = x.guy[label].anchor == TREE
    why = (
        "A tree sways, pulls the guys slack and tight in turn, and can fall itself: it is no anchor"
        if tree
        else "A vehicle, a post or another thing at hand slides or is driven away: it is no anchor"
    )
    return Judgement(DANGER, lambda: f"{why} for level {label}.", lambda: _anchor_ways(x, label))


def _anchor_ways(x: Inputs, label: str) -> list[Way]:
    guy = Sheet.guy
    # The level is named where there are several, each with anchors of its own.
    each = f"each guy of level {label}" if len(guy_labels(x)) > 1 else "each guy"

    def sized(kind: str, width: float, deep: float) -> dict[Entry[Any], Value]:
        return {guy.anchor[label]: kind, guy.anchor_width[label]: width, guy.anchor_depth[label]: deep}

    blocks = [sized(BURIED, w, w + COVER) | {guy.anchor_height[label]: w} for w in BLOCKS]
    screws = [sized(SCREW, d, deep) for d in (0.15, 0.2, 0.25, 0.3) for deep in (1.2, 1.5)]
    return [
        change(f"Cast a {{0}} for {each}, a cube of {{1}}, its underside {{2}} deep.", *blocks),
        change(f"Turn in a {{0}} of {{1}} for {each}, {{2}} deep, in line with it.", *screws),
    ]


# --- base -------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Stands:
    """How a base would fail: reserve of each way, by its name."""

    by: dict[str, Num]

    @property
    def least(self) -> Num:
        """The least of them."""
        return np.asarray(np.min(np.stack(np.broadcast_arrays(*self.by.values())), axis=0))

    @property
    def first(self) -> str:
        """The way it fails first."""
        return min(self.by, key=lambda name: float(self.by[name]))


def _base(x: Inputs) -> Judgement | Unknown:
    cases = _on_base(x)
    if isinstance(cases, Unknown):
        return cases
    if missing := _size_missing(x):
        return Unknown("", missing)
    each = []
    for case in cases:
        loads = case.down, case.side, case.moment
        stands = _post(x, *loads) if x.base.kind == POST_IN_GROUND else _block(x, *loads)
        if isinstance(stands, Unknown):
            return stands
        each.append(stands)
    least = -largest([-np.asarray(stands.least) for stands in each])
    level, margin = by_reserve(least, GROUND)
    i = int(np.argmin([float(np.min(stands.least)) for stands in each]))
    found, (down, side, moment) = each[i], (cases[i].down, cases[i].side, cases[i].moment)

    def says() -> str:
        bent = f" and tips it with {show(moment, 'Nm', 2)}" if np.any(np.asarray(moment) > 0) else ""
        return (
            f"The base could take {times_as_much(found.least)} the worst storm's load before it {found.first}: "
            f"{reserve_words(found.least, GROUND)}. The mast{ice_words(cases[i].ice)} presses it with {newtons(down)}, "
            f"pushes it aside with {newtons(side)}{bent}."
        )

    def more() -> str:
        listed = ", ".join(f"{name} {times_as_much(eta)}" for name, eta in found.by.items())
        deep = ""
        if x.base.kind == POST_IN_GROUND:
            soil, share = soil_of(x)
            P = GROUND.enough * side / ULTIMATE
            least = ground.pole_depth(P, moment / side, x.base.width, soil.lateral * share)
            deep = f" The least would be {show_up(least, 'm', 2)} of depth."
        look = f"The ground is taken as {x.base.soil}; dig a hole and look, and ask somebody local."
        return f"It {listed}.{deep} {look}{_members(cases[i])}"

    return Judgement(level, says, lambda: _base_ways(x), least, GROUND.enough, "", margin, more)


def _on_base(x: Inputs) -> Sequence[MastCase | LatticeCase] | Unknown:
    """What presses the base, pushes it aside and tips it, in each gust."""
    storm = lattice_storm(x) if x.mast.kind == LATTICE else mast_storm(x)
    return storm if isinstance(storm, Unknown) else storm.cases


def _members(case: MastCase | LatticeCase) -> str:
    if isinstance(case, MastCase):
        return ""
    return f" Of that push the wind on the lattice's own members makes {newtons(case.on_mast)}."


def _size_missing(x: Inputs) -> tuple[Entry[Any], ...]:
    needs: tuple[Entry[Any], ...] = (Sheet.base.width,)
    if x.base.kind != PLATE:
        needs += (Sheet.base.depth,)
    if x.base.kind in (HINGE_BLOCK, SPREAD_BLOCK):
        needs += (Sheet.base.height,)
    return x.lacks(*needs)


def _post(x: Inputs, down: Num, side: Num, moment: Num) -> _Stands | Unknown:
    """A pole that stands in the ground, or in concrete in it."""
    soil, share = soil_of(x)
    if soil.lateral == 0:
        return Unknown(f"Of {x.base.soil} nobody can tell what it holds; a pole set into it is an engineer's work")
    b, d = x.base.width, x.base.depth
    at = moment / np.maximum(side, 1e-9)
    holds = ULTIMATE * ground.pole_holds(d, at, b, soil.lateral * share)
    bears = ULTIMATE * soil.bearing * share * np.square(b)
    return _Stands({"leans over": holds / np.maximum(side, 1e-9), "sinks": bears / np.maximum(down, 1e-9)})


def _block(x: Inputs, down: Num, side: Num, moment: Num) -> _Stands | Unknown:
    """A block or plate under a hinge or a flange."""
    soil, share = soil_of(x)
    if soil.bearing == 0:
        return Unknown(f"Of {x.base.soil} nobody can tell what it carries; find other ground or ask an engineer")
    b = np.asarray(x.base.width, dtype=float)
    plate = x.base.kind == PLATE
    high, deep = (0.02, 0.0) if plate else (x.base.height, x.base.depth)
    block = ground.buried_block(soil, b, high, deep)
    weight = 0.0 * b if plate else block.weight
    held = soil.sliding * (down + weight) + block.front * share
    under = np.maximum(down, 1e-9) + weight
    by: dict[str, Num] = {"slides": held / np.maximum(side, 1e-9)}
    if np.any(np.asarray(moment) > 0):
        # Half of the earth's pressure before it stands a third of its depth up against tipping.
        M = moment + side * deep
        by["tips over"] = (under * b / 2.0 + block.front * share * np.asarray(deep) / 3.0) / np.maximum(M, 1e-9)
    by["sinks"] = ULTIMATE * soil.bearing * share * np.square(b) / under
    return _Stands(by)


def _base_ways(x: Inputs) -> list[Way]:
    base = Sheet.base
    free = x.mast.kind not in (GUYED,)
    kind = SPREAD_BLOCK if free else HINGE_BLOCK

    def cast_in(w: float, high: float) -> Try:
        return {base.kind: kind, base.width: w, base.height: high, base.depth: high}

    blocks = [cast_in(w, high) for w in BLOCKS for high in (0.6, 0.8, 1.0) if not free or w >= 0.8]
    posts: list[Try] = [{base.kind: POST_IN_GROUND, base.width: b, base.depth: d} for d in _DEPTHS for b in _HOLES]
    ways = [change("Cast a {0}, {1} square and {2} high.", *blocks)]
    return [*ways, change("Set the {0}, concrete {1} across and {2} deep.", *posts)] if x.mast.kind == FREE else ways


def _has_base(x: Inputs) -> bool:
    """What stands on a building is the engineer's."""
    return x.maybe(Sheet.mast.kind) in (GUYED, FREE, LATTICE, OTHER)


RULES = (
    Rule(
        "guy.anchor",
        "Anchors of the guys",
        "guy",
        (Sheet.guy.anchor,),
        _anchor,
        (TOP, GROUND_TABLE, GROUND_MEMORY, SCREWS, EARTH, COMMON_PRACTICE),
        PULLED_OUT,
        each=True,
        deadly=True,
    ),
    Rule(
        "base.hold",
        "Whether the base stands",
        "base",
        (Sheet.mast.kind, Sheet.base.kind, *TOP_NEEDS),
        _base,
        (
            TOP,
            DRAG,
            LATTICE_DRAG,
            ICE,
            Source("IBC 1807.3.2.1, pole set into the ground", "two worked examples", "reproduction"),
            GROUND_TABLE,
            GROUND_MEMORY,
            EARTH,
            FACTORS,
        ),
        FALLS,
        applies=_has_base,
        deadly=True,
    ),
)
