"""How doubtful inputs are drawn, and ranked by how much they move a result."""

from __future__ import annotations

import numpy as np
import pytest
import scipy.stats

from calc.machine.catalogue import Sheet, catalogue
from calc.machine.design import build_design, values
from calc.machine.entry import number
from calc.machine.spread import Draws, draw, limits, ranking, sample

N = 200
#: What is counted, printed on a fuse or a device, a name for a class of banks, or the ends of what was read.
EXACT = {
    "mast.lattice_legs",
    "cable.area", "cable.fuse", "cable.fuse_breaking", "cable.fuse_voltage", "cable.price", "cable.together",
    "converter.input_current", "converter.input_highest", "converter.input_lowest", "dump.controller_current",
    "dump.controller_voltage", "dump.voltage", "generator.pole_pairs", "generator.ratio", "inverter.appliances",
    "inverter.fuse", "inverter.input_voltage_max", "load.voltage", "load.voltage_max", "measured.count",
    "curve.count", "curve.doubt", "curve.power", "curve.wind",
    "measured.least", "measured.most", "polar.angle", "polar.drag",
    "polar.lift", "protection.brake_current", "protection.main_fuse_breaking", "protection.main_fuse_rating",
    "protection.earth_area", "protection.main_fuse_voltage", "protection.surge_voltage", "rotor.blades",
    "storage.cells", "storage.monitor_voltage", "storage.rated_hours", "storage.strings", "storage.voltage",
    # Counted, or of a nominal size.
    "gin.falls", "guy.clips", "guy.rope_diameter", "guy.ropes", "guy.turnbuckle_size", "hub.bolt_diameter",
    "hub.bolts",
}  # fmt: skip


def known(design):
    """Its values by name."""
    return {name: value for name, _, value in values(design)}


def test_each_part_of_a_range_is_drawn_once():
    """One share from each of n equal parts (a Latin hypercube; from memory), in an order of its own."""
    a, b = draw(N, "rotor.diameter"), draw(N, "mast.height")
    for shares in (a, b):
        assert np.floor(np.sort(shares) * N).tolist() == list(range(N))
    assert abs(np.corrcoef(a, b)[0, 1]) < 0.2
    assert draw(N, "rotor.diameter").tolist() == a.tolist()
    assert draw(N, "rotor.diameter", seed=7).tolist() != a.tolist()


def test_samples_lie_between_the_limits_and_fill_them():
    """Numbers with one limit only, and words, stay as they are; names that the sheet does not have are left out."""
    design = build_design({"rotor.diameter": 2.0, "mast.height": 10.0, "storage.chemistry": "LiFePO4"})
    doubts = {"rotor.diameter": (1.9, 2.3), "mast.height": (10.0, 10.0), "site.mean_wind": (4.0, 5.0)}
    drawn = known(sample(design, doubts, Draws(N)))
    D = drawn["rotor.diameter"]
    assert D.shape == (N,)
    assert 1.9 <= D.min() < 1.9 + 0.4 / N
    assert 2.3 - 0.4 / N < D.max() <= 2.3
    assert D.mean() == pytest.approx(2.1, abs=1e-3)
    assert (drawn["mast.height"], drawn["storage.chemistry"]) == (10.0, "LiFePO4")
    assert "site.mean_wind" not in drawn


def test_limits_the_wrong_way_round_are_refused():
    """With the name."""
    with pytest.raises(ValueError, match=r"rotor\.diameter: lower limit 3\.0 exceeds upper limit 2\.0"):
        sample(build_design({"rotor.diameter": 2.0}), {"rotor.diameter": (3.0, 2.0)}, Draws(N))


def test_a_name_that_is_none_is_refused():
    """No sheet has it."""
    with pytest.raises(KeyError):
        build_design({"rotor.colour": 1.0})


def test_a_share_of_a_number_is_kept_inside_what_is_permitted():
    """A tenth either way; of a temperature on the Celsius scale, also below nought."""
    assert limits("rotor.diameter", 2.0, 0.1) == pytest.approx((1.8, 2.2))
    assert limits("site.air_temperature", 293.15, 0.1) == pytest.approx((291.15, 295.15))
    assert limits("storage.coldest", 263.15, 0.1) == pytest.approx((262.15, 264.15))
    entry = Sheet.rotor.power_coefficient
    assert limits(entry.path, entry.high, 0.1)[1] == entry.high
    assert limits(entry.path, entry.low * 1.01, 0.1)[0] == entry.low


def test_ranks_are_those_of_spearman():
    """Also where many values are tied, in groups of unlike size (scipy.stats.spearmanr)."""
    rng = np.random.default_rng(3)
    x = rng.random(60)
    stepped = np.floor(6.0 * x**3)
    noisy = x + rng.random(60)
    inputs = {"x": x, "stepped": stepped, "constant": np.ones(60)}
    found = ranking(inputs, noisy)
    for name in ("x", "stepped"):
        assert found[name] == pytest.approx(scipy.stats.spearmanr(inputs[name], noisy).statistic ** 2, rel=1e-9)
    assert "constant" not in found


def test_the_greatest_stands_first_and_what_hardly_matters_is_left_out():
    """Below 2 % of the doubt; own choice."""
    a, b, c = draw(N, "a"), draw(N, "b"), draw(N, "c")
    found = ranking({"c": c, "b": b, "a": a}, 10.0 * a - 4.0 * b + 0.1 * c)
    assert list(found) == ["a", "b"]
    assert all(share >= 0.02 for share in found.values())
    shares = {w: scipy.stats.spearmanr(b, a + w * b).statistic ** 2 for w in np.linspace(0.0, 0.4, 801)}
    for low, high, named in ((0.0185, 0.0199, False), (0.0201, 0.0215, True)):
        near = next(w for w, share in shares.items() if low < share < high)
        assert ("b" in ranking({"a": a, "b": b}, a + near * b)) is named


def test_what_never_moves_is_moved_by_nothing():
    """Nor a single number."""
    assert ranking({"a": draw(N, "a")}, np.full(N, 3.0)) == {}
    assert ranking({"a": draw(N, "a")}, np.asarray(3.0)) == {}


def test_only_what_is_counted_is_exact():
    """Numbers of which nobody doubts a part; any other is doubted by where it comes from."""
    assert {name for name, entry in catalogue().items() if entry.exact} == EXACT
    assert number("Anything", "m", "m", 0.0, 1.0, "0.5 m").exact is False
