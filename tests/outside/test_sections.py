"""Sections of carved blades: named ones against thin-aerofoil theory, typed ones against the rows that were typed."""

from __future__ import annotations

import csv
import math
from pathlib import Path

import numpy as np
import pytest

from calc.finding import Status
from calc.machine.catalogue.rotor import SECTIONS, TYPED_SECTION
from calc.machine.design import build_design
from calc.machine.inputs import Unknown
from calc.machine.solving import Solved
from calc.machine.system import System
from calc.physics import polar
from calc.physics.blade.solid import LIKE, digits
from calc.rules import RULES
from calc.rules.engine import judge_rules
from tests.outside.random_machines import draw
from tests.outside.turning_points import WORKED

TABLE = Path(polar.__file__).parents[1] / "tables" / "named_sections.csv"


def _rows(name, Re):
    lines = [line for line in TABLE.read_text().splitlines() if not line.startswith("#")]
    return [r for r in csv.DictReader(lines) if r["section"] == name and float(r["reynolds"]) == Re]


@pytest.mark.parametrize("name", polar.NAMED)
def test_no_lift_where_thin_aerofoil_theory_has_none(name):
    """At Re 1e6, to 1 degree: slope of the mean line times (1 - cos), integrated (Abbott, von Doenhoff)."""
    m, p, _ = digits(name)
    theta = np.linspace(0.0, math.pi, 20001)
    x = (1.0 - np.cos(theta)) / 2.0
    slope = np.where(x < p, 2 * m / p**2 * (p - x), 2 * m / (1 - p) ** 2 * (p - x))
    zero = -np.trapezoid(slope * (np.cos(theta) - 1.0), theta) / math.pi
    angles = np.radians(np.linspace(-9.0, 2.0, 1101))
    lift, _ = polar.named_section(name).at(angles, np.full(angles.shape, 1e6))
    assert np.degrees(angles[np.argmin(np.abs(lift))] - zero) == pytest.approx(0.0, abs=1.0)


def test_the_sheet_offers_every_named_section_and_the_table():
    """And nothing that has no table."""
    assert set(SECTIONS) == {"arc of the pipe", *polar.NAMED, TYPED_SECTION}
    assert set(LIKE) < set(polar.NAMED)


@pytest.mark.parametrize("name", ["NACA 4412", "SG6043"])
def test_a_section_that_is_typed_is_the_one_it_was_typed_from(name):
    """Every angle of the table from -4 degrees to the stall, at the Reynolds number of the row."""
    rows = [r for r in _rows(name, 2e5) if -4 <= float(r["alpha"]) <= 12]
    alpha, cl, cd = (np.array([float(r[k]) for r in rows]) for k in ("alpha", "cl", "cd"))
    typed = polar.typed_section(np.radians(alpha), cl, cd)
    for Re in (5e4, 2e5):
        got = typed.at(np.radians(alpha), np.full(alpha.shape, Re))
        assert np.asarray(got) == pytest.approx(np.array([cl, cd]), abs=1e-9)
    flat = typed.at(np.radians(60.0), 1e5)
    assert flat == pytest.approx((2 * math.sin(math.pi / 3) * 0.5, 2 * 0.75), abs=1e-9)


def _typed(name="NACA 4412", Re=2e5, least=-4.0, most=14.0):
    sheet = {}
    for i, r in enumerate(r for r in _rows(name, Re) if least <= float(r["alpha"]) <= most):
        sheet |= {f"polar.{i}.angle": math.radians(float(r["alpha"])), f"polar.{i}.lift": float(r["cl"]),
                  f"polar.{i}.drag": float(r["cd"])}  # fmt: skip
    return sheet


def _carved(section, **more):
    for seed in range(200):
        sheet = draw(seed)
        if sheet.get("blade.material") == "wood" and sheet.get("blade.section") in polar.NAMED:
            return System(build_design(sheet | {"blade.section": section} | more))
    raise AssertionError("no carved machine was drawn")


def test_a_rotor_of_a_typed_section_takes_what_one_of_the_named_section_takes():
    """Within the difference that Reynolds numbers make: a tenth of its best share."""
    one, two = _carved("NACA 4412").solved, _carved(TYPED_SECTION, **_typed()).solved
    assert isinstance(one, Solved)
    assert isinstance(two, Solved)
    assert float(two.rotor.best()[1]) == pytest.approx(float(one.rotor.best()[1]), rel=0.1)


@pytest.mark.parametrize("section", polar.NAMED)
def test_every_named_section_gives_a_rotor(section):
    """A carved rotor with it takes a share that such rotors take: 0.2 to the limit of Betz."""
    solved = _carved(section).solved
    assert isinstance(solved, Solved)
    assert 0.2 < float(solved.rotor.best()[1]) < 16 / 27


@pytest.mark.parametrize(("rows", "words"), [
    ({}, "polar.1.angle"),
    (_typed(least=3.0), "from 0 to 8 degrees"),
    (_typed(most=6.0), "from 0 to 8 degrees"),
    (_typed() | {"polar.again.angle": 0.0, "polar.again.lift": 1.0, "polar.again.drag": 0.1}, "differ"),
    (_typed() | {"polar.short.angle": 0.1, "polar.short.lift": 1.0}, "polar.short.drag"),
])  # fmt: skip
def test_a_table_that_cannot_be_used_is_said_to_be_so(rows, words):
    """In one line."""
    got = _carved(TYPED_SECTION, **rows).solved
    assert isinstance(got, Unknown)
    assert words in f"{got.why} {' '.join(got.names)}"


def test_a_typed_section_tells_no_strength():
    """It says how to have it judged."""
    system = _carved(TYPED_SECTION, **_typed(), **{k: v for k, v in WORKED.items() if k.startswith("site.")})
    found = {f.rule: f for f in judge_rules(RULES, system)}.get("blade.root-strength")
    if found is not None:
        assert found.status is Status.UNKNOWN
        assert "how thick the section is" in found.says or found.missing
