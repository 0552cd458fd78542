"""The one catalogue of inputs: sheets, dialogues, help and rules are all made from it.

A new input is one line in the file of its chapter, and nothing elsewhere. Names of inputs are ``group.field``, or
``group.label.field`` where there can be several (cable runs, loads, claims).
"""

from __future__ import annotations

from functools import cache
from typing import Any

from calc.machine.catalogue.generator import GeneratorGroup
from calc.machine.catalogue.guys import BaseGroup, GinGroup, GuyGroup
from calc.machine.catalogue.house import HouseGroup, InverterGroup, LoadGroup
from calc.machine.catalogue.hub import HubGroup, WeighedGroup
from calc.machine.catalogue.mast import MastGroup
from calc.machine.catalogue.neighbours import NeighbourGroup, ObstacleGroup, PlaceGroup
from calc.machine.catalogue.recorded import ClaimGroup, CurveGroup, MeasuredGroup
from calc.machine.catalogue.rotor import BladeGroup, PolarGroup, RotorGroup, StationGroup
from calc.machine.catalogue.site import SiteGroup
from calc.machine.catalogue.storage import ConverterGroup, DumpGroup, StorageGroup
from calc.machine.catalogue.tail import TailGroup, YawGroup
from calc.machine.catalogue.wiring import CableGroup, ProtectionGroup
from calc.machine.entry import Entry, Many, One


class Sheet:
    """The groups of the design sheet, in its order: names on the class, values on a sheet."""

    site = One(SiteGroup)
    rotor = One(RotorGroup)
    blade = One(BladeGroup)
    station = Many(StationGroup)
    polar = Many(PolarGroup)
    hub = One(HubGroup)
    weighed = Many(WeighedGroup)
    tail = One(TailGroup)
    yaw = One(YawGroup)
    generator = One(GeneratorGroup)
    cable = Many(CableGroup)
    storage = One(StorageGroup)
    converter = One(ConverterGroup)
    dump = One(DumpGroup)
    inverter = One(InverterGroup)
    house = One(HouseGroup)
    protection = One(ProtectionGroup)
    mast = One(MastGroup)
    guy = Many(GuyGroup)
    base = One(BaseGroup)
    gin = One(GinGroup)
    neighbour = Many(NeighbourGroup)
    obstacle = Many(ObstacleGroup)
    place = Many(PlaceGroup)
    load = Many(LoadGroup)
    claim = Many(ClaimGroup, recorded=True)
    measured = Many(MeasuredGroup, recorded=True)
    curve = Many(CurveGroup, recorded=True)


_GROUPS = {name: place for name, place in vars(Sheet).items() if isinstance(place, One | Many)}
#: Names of all groups, in the order of the sheet; of those that hold several things; and of those whose values come
#: from records of their own, not from the sheet.
GROUPS = tuple(_GROUPS)
LABELLED = frozenset(name for name, place in _GROUPS.items() if place.labelled)
RECORDED = frozenset(name for name, place in _GROUPS.items() if place.recorded)


@cache
def catalogue() -> dict[str, Entry[Any]]:
    """All inputs by name without label, in the order of the sheet.

    Examples
    --------
    >>> catalogue()["rotor.diameter"].accepts
    '0.2 m to 15 m'
    """
    return {entry.path: entry for place in _GROUPS.values() for entry in place.entries()}


def split(path: str) -> tuple[str, str | None]:
    """Split a name into the name without label, and the label.

    Raises
    ------
    KeyError
        If the catalogue has no such name; the argument is the name as given.

    Examples
    --------
    >>> split("cable.main.length"), split("rotor.diameter")
    (('cable.length', 'main'), ('rotor.diameter', None))
    """
    group, _, rest = path.partition(".")
    label: str | None = None
    if group in LABELLED:
        label, _, rest = rest.rpartition(".")
    bare = f"{group}.{rest}"
    if bare not in catalogue() or (group in LABELLED and not label):
        raise KeyError(path)
    return bare, label
