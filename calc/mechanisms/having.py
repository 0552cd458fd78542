"""Whether a machine has what can fail: a share of one, for of most sheets not everything is said.

Where the sheet says nothing, the shares are own estimates of how many such machines have it, from common practice, no
source; they are never nought, for what is not written down can fail all the same.
"""

from __future__ import annotations

from calc.machine.battery import has_lead, has_lithium
from calc.machine.catalogue import Sheet
from calc.machine.catalogue.generator import BELT, COIL, TOOTHED
from calc.machine.catalogue.rotor import SHORTING_SWITCH
from calc.machine.currents import has_inverter
from calc.machine.inputs import Inputs

#: Shares of machines that have something of which their sheet says nothing.
UNSAID_COIL, UNSAID_BELT, UNSAID_BRAKE, UNSAID_DUMP, UNSAID_INVERTER = 0.1, 0.15, 0.6, 0.6, 0.5
UNSAID_LITHIUM, UNSAID_ALWAYS_ON, UNSAID_CABLE = 0.4, 0.5, 0.7


def coil(x: Inputs) -> float:
    """A field coil."""
    return float(x.maybe(Sheet.generator.field) == COIL) if x.given(Sheet.generator.field) else UNSAID_COIL


def magnets(x: Inputs) -> float:
    """Permanent magnets."""
    return 1.0 - coil(x)


def coil_always_fed(x: Inputs) -> float:
    """A field coil that draws in calms too."""
    said = x.maybe(Sheet.generator.field_supply)
    return coil(x) * (UNSAID_ALWAYS_ON if said is None else float(str(said) == "always on"))


def belt(x: Inputs) -> float:
    """A belt between rotor and generator."""
    said = x.maybe(Sheet.generator.drive)
    return float(said in (BELT, TOOTHED)) if x.given(Sheet.generator.drive) else UNSAID_BELT


def three_phases(x: Inputs) -> float:
    """Three phases."""
    return float(x.maybe(Sheet.generator.phases) == "three-phase")


def bridge(x: Inputs) -> float:
    """A rectifier: every generator without brushes for its current has one."""
    return float(x.maybe(Sheet.generator.phases) != "DC with brushes")


def brushes(x: Inputs) -> float:
    """A motor for direct current, whose own voltage holds nothing back."""
    return float(x.maybe(Sheet.generator.phases) == "DC with brushes")


def said_cable(x: Inputs) -> float:
    """A cable of which anything is said; every machine has one, and most say so."""
    return 1.0 if x.labels(Sheet.cable) else UNSAID_CABLE


def tail(x: Inputs) -> float:
    """A tail that folds."""
    return float("tail" in str(x.maybe(Sheet.rotor.overspeed)) or not x.given(Sheet.rotor.overspeed))


def brake(x: Inputs) -> float:
    """A brake of any kind."""
    said = x.maybe(Sheet.rotor.brake)
    return UNSAID_BRAKE if said is None else float(said != "none")


def shorting_switch(x: Inputs) -> float:
    """A switch that shorts the generator."""
    return float(x.maybe(Sheet.rotor.brake) in (None, SHORTING_SWITCH))


def lithium_cells(x: Inputs) -> float:
    """Cells with electronics of their own."""
    return float(has_lithium(x)) if x.given(Sheet.storage.chemistry) else UNSAID_LITHIUM


def lead_cells(x: Inputs) -> float:
    """Lead-acid cells."""
    return float(has_lead(x)) if x.given(Sheet.storage.chemistry) else 1.0 - UNSAID_LITHIUM


def dump(x: Inputs) -> float:
    """A dump load."""
    said = x.maybe(Sheet.dump.kind)
    return UNSAID_DUMP if said is None else float(said != "none")


def inverter(x: Inputs) -> float:
    """An inverter."""
    return 1.0 if has_inverter(x) else UNSAID_INVERTER
