"""One story: what was seen, believed, read and true, and what of it is told at which level."""

from __future__ import annotations

import hashlib
import tomllib
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Any

from tests.stories.causes import CAUSES
from tests.stories.looks import FROM_THE_GROUND, LOOKS
from tests.stories.machines import MACHINES, Machine, Value, plant_of, sheet_of
from tests.stories.readings import Moment, Reading, dice, take
from tests.stories.simulator import Plant, changed

#: How much of a story is told: only its words; and the sheet; and what most people read; and what tells.
LEVELS = ("words", "sheet", "everyday", "decisive")
#: Symptoms by the stories' own short words.
SYMPTOMS = {
    "no_charge": "it turns and hardly charges, or not at all",
    "less": "it gives less than it should",
    "no_start": "it does not start",
    "slow": "it turns slowly, as if held",
    "runaway": "it runs too fast",
    "no_stop": "it does not stop when braked",
    "shakes": "it shakes",
    "hum": "it hums or growls",
    "noise": "it makes a noise",
    "broke": "a blade broke",
    "flat": "the battery is empty too soon",
    "boil": "the battery is overcharged",
    "trips": "the inverter trips",
    "hot": "the generator gets hot",
    "cuts": "it stops charging now and then",
    "odd": "a reading is not what it should be",
}
#: Among causes that were believed and never are true: harmless things.
HARMLESS = {"leads_swapped": "two leads of the generator swapped at the rectifier"}
SEED = "half of the stories"


@dataclass(frozen=True)
class Story:
    """A row of the tables.

    ``wind`` is what the builder says it blew, ``v`` what it was at the hub in m/s; ``beliefs`` are the builder's words
    with the cause that they mean; ``claim`` is what was promised, where anything was; ``extra`` is what else was
    different that day, by the simulator's names.
    """

    id: str
    machine: str
    causes: tuple[str, ...]
    symptom: str
    saw: str
    beliefs: tuple[tuple[str, str], ...]
    did: str
    wind: str
    v: float
    load: str
    kind: str = "run"
    wind_how: str = "judged by trees and flags"
    hours: float = 20.0
    age: float = 1.0
    claim: str = ""
    extra: dict[str, float] = field(default_factory=dict)

    @property
    def maker(self) -> Machine:
        """The machine's row."""
        return MACHINES[self.machine]

    @property
    def ought(self) -> Plant:
        """The machine as it would be with nothing wrong about it, on that day."""
        return changed(plant_of(self.maker), **{k: v for k, v in self.extra.items() if k != "mast_hz"})

    @cached_property
    def meant(self) -> Plant:
        """The machine as it was built, faults of its design included: what the sheet tells."""
        p = changed(plant_of(self.maker), **self.extra)
        for key in self.causes:
            if CAUSES[key].design:
                p = CAUSES[key].change(p)
        return p

    @cached_property
    def plant(self) -> Plant:
        """The machine as it is."""
        p = self.meant
        for key in self.causes:
            if not CAUSES[key].design:
                p = CAUSES[key].change(p)
        return p

    @property
    def sound(self) -> bool:
        """Whether nothing is wrong with the machine itself."""
        return self.plant == self.meant and not any(CAUSES[k].design for k in self.causes)

    @property
    def sheet(self) -> dict[str, Value]:
        """What the builder typed of it."""
        return sheet_of(self.maker, self.meant, self.id)

    @property
    def moment(self) -> Moment:
        """Where and when readings are taken."""
        return Moment(self.plant, self.v, self.load, self.hours, self.maker.height, self.age)

    @property
    def settles(self) -> tuple[str, ...]:
        """The cheapest look or reading that would settle it, for each cause."""
        return tuple(CAUSES[k].settles for k in self.causes)

    def wrong(self, belief: str) -> bool:
        """Whether a cause that was believed is not true."""
        return belief not in self.causes

    def recipes(self, level: str) -> list[str]:
        """What was read at a level, that of the levels below included."""
        found: list[str] = []
        if level in ("everyday", "decisive"):
            usual = dict.fromkeys(r for k in self.causes for r in CAUSES[k].everyday)
            # People forget one reading in four; nobody forgets all.
            found += [r for i, r in enumerate(usual) if i == 0 or dice(self.id, r, "forgot").random() > 0.25]
        if level == "decisive":
            found += [r for k in self.causes for r in CAUSES[k].decisive]
        return list(dict.fromkeys(found))

    def readings(self, level: str) -> list[Reading]:
        """The readings of a level, as they were typed."""
        return [r for recipe in self.recipes(level) if (r := take(recipe, self.moment, self.id)) is not None]

    def looks(self, level: str) -> dict[str, bool | None]:
        """What was looked for, and whether it was so; None where one could not tell."""
        if level == "everyday":
            told: Iterable[str] = [k for c in self.causes for k in CAUSES[c].seen if k in FROM_THE_GROUND]
        elif level == "decisive":
            told = [k for c in self.causes for k in CAUSES[c].seen]
        else:
            told = ()
        return {key: self.look(key) for key in dict.fromkeys(told)}

    def look(self, key: str) -> bool | None:
        """What somebody finds who looks for it: wrong in 3 of 100, unable to tell in 7."""
        true = self._so(key)
        chance = dice(self.id, key, "look").random()
        return None if chance < 0.07 else not true if chance > 0.97 else true

    def _so(self, key: str) -> bool:
        if key not in LOOKS:
            raise KeyError(key)
        if key == "smooth":
            return self.symptom not in ("slow", "no_start", "shakes", "noise", "hum", "broke", "hot")
        if key == "free_when_parted":
            return not {"drag", "cogging", "winding_short", "loose_magnets"} & set(self.causes)
        if key == "brakes_when_joined":
            return not {"phase_open", "field_dead", "brake_loop"} & set(self.causes)
        return any(key in CAUSES[c].seen for c in self.causes)


def halves(stories: Iterable[Story]) -> tuple[list[Story], list[Story]]:
    """Part the stories in two by a seeded hash of the id, so that each cause is in both."""

    def draw(text: str) -> str:
        return hashlib.sha256(f"{SEED}/{text}".encode()).hexdigest()

    groups: dict[tuple[bool, str], list[Story]] = {}
    for s in stories:
        groups.setdefault((len(s.causes) > 1, s.causes[0] if len(s.causes) == 1 else ""), []).append(s)
    tuned, held = [], []
    for name, group in sorted(groups.items()):
        for i, s in enumerate(sorted(group, key=lambda s: draw(s.id))):
            (tuned if (i + int(draw(repr(name))[0], 16)) % 2 == 0 else held).append(s)
    return sorted(tuned, key=lambda s: s.id), sorted(held, key=lambda s: s.id)


def told(half: str) -> tuple[Story, ...]:
    """The stories of one half, "tuned" or "held"; the held-out file is opened only where it is asked for."""
    file = Path(__file__).parent / {"tuned": "tuned.toml", "held": "held_out.toml"}[half]
    return tuple(_story(row) for row in tomllib.loads(file.read_text(encoding="utf-8"))["story"])


def _story(row: dict[str, Any]) -> Story:
    beliefs = tuple((b["words"], b["means"]) for b in row.pop("beliefs"))
    return Story(**row | {"causes": tuple(row["causes"]), "beliefs": beliefs})
