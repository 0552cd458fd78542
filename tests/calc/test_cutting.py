"""Templates, nests, plates, vanes and balance sheets: what they must hold whatever the numbers."""

import itertools
import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from matplotlib.path import Path as Outline

from calc.cutting.balance_sheet import WeighedBlade, balance_sheet
from calc.cutting.blade import bolt_holes, root_clearance, root_cut, template
from calc.cutting.hub import EDGE, FILLET, PITCH, hold_apart, plate
from calc.cutting.nest import LENGTHS, nest, shortest
from calc.cutting.vane import vane
from calc.physics.blade import cut_from_pipe, pipe_masses

EDGES = st.sampled_from(["trailing", "leading", "neither"])


@st.composite
def blades(draw, edge=EDGES):
    """What a blade is cut by, such that it can be."""
    D = draw(st.floats(0.08, 0.5))
    t = draw(st.floats(0.01, 0.06)) * D
    root, tip = (draw(st.floats(0.1, 0.98)) * (D - t) for _ in range(2))
    R = draw(st.floats(0.3, 3.0))
    beta = math.asin(root / (D - t))
    angle = draw(st.floats(-0.9, 0.9)) * beta
    return D, t, root, tip, R, draw(st.floats(0.05, 0.5)) * R, angle, draw(edge)


@given(blades())
def test_the_template_has_the_shape_of_which_all_else_is_computed(given_):
    """Chord, camber and twist at each station; the width is the length of the arc on the outside."""
    cut, shape = template(*given_), cut_from_pipe(*given_)
    marks = cut.at(shape.r)
    assert marks.chord == pytest.approx(shape.chord)
    assert marks.camber == pytest.approx(shape.camber * shape.chord)
    assert marks.twist == pytest.approx(shape.twist, abs=1e-9)
    assert marks.width == pytest.approx(cut.D / 2 * 2 * np.arcsin(shape.chord / (cut.D - cut.t)))
    assert marks.leading - marks.trailing == pytest.approx(marks.width)


@given(blades())
def test_edges_are_straight_on_the_paper_and_the_right_one_lies_along_the_pipe(given_):
    """So they can be drawn with a rule."""
    cut = template(*given_)
    marks = cut.at(np.linspace(cut.r_root, cut.R, 7))
    for edge in (marks.trailing, marks.leading):
        assert np.diff(edge, 2) == pytest.approx(0.0, abs=1e-9)
    along = {"trailing": marks.trailing, "leading": marks.leading}.get(cut.straight_edge)
    assert along is None or np.ptp(along) < 1e-9


@given(blades())
def test_the_paper_weighs_what_the_blade_weighs(given_):
    """The area of the outline times the middle wall's share of it is what the masses are computed from."""
    cut = template(*given_)
    x, y = cut.outline.T
    area = abs(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1))) / 2
    middle = (cut.D - cut.t) / cut.D
    D, t, root, tip, R, r_root, *_ = given_
    assert area * middle * t * 1400.0 == pytest.approx(pipe_masses(D, t, root, tip, R, r_root, 1400.0).mass)


def test_bolted_flat_beside_the_blade_is_refused():
    """No line on a root of 95 mm gives 40 degrees: its arc spans 37.5 to each side."""
    with pytest.raises(ValueError, match="bolted flat"):
        template(0.160, 0.004, 0.095, 0.045, 0.65, 0.08, math.radians(40))


@pytest.mark.parametrize("change", [{"D": 0.09}, {"t": 0.08}, {"r_root": 0.7}, {"r_root": 0.0}, {"chord_root": 0.0}])
def test_what_no_pipe_gives_is_refused(change):
    """Wider than half the pipe, a wall that fills it, a root beyond the tip or on the shaft, no chord."""
    said = {"D": 0.160, "t": 0.004, "chord_root": 0.095, "chord_tip": 0.045, "R": 0.65, "r_root": 0.08}
    with pytest.raises(ValueError, match=r"pipe|blade|chord"):
        template(**(said | change), mounting_angle=0.3)


def test_marks_beside_the_blade_are_refused():
    """Inside its root and outside its tip."""
    cut = template(0.160, 0.004, 0.095, 0.045, 0.65, 0.08, 0.3)
    for r in (0.07, 0.66):
        with pytest.raises(ValueError, match="on the blade"):
            cut.at([r])
    with pytest.raises(ValueError, match="longer than the blade"):
        bolt_holes(cut, 20, 0.02, 0.05)


# --- roots on the hub -------------------------------------------------------------------------------------------------


def on_the_hub(cut, points, k, blades_):
    """Points of the paper in the plane of the rotor, on blade k; the wall at the bolts lies flat."""
    x = cut.D / 2 * np.sin(points[:, 0] / (cut.D / 2))
    turn = 2 * np.pi * k / blades_
    # Outwards is (cos, sin); a leading edge lies ahead, against the clock.
    out, ahead = np.array([math.cos(turn), math.sin(turn)]), np.array([-math.sin(turn), math.cos(turn)])
    return points[:, 1:] * out + x[:, None] * ahead


def filled(corners):
    """About five hundred points along a closed line, its corners among them."""
    n = max(2, 500 // len(corners))
    return np.concatenate([np.linspace(p, q, n) for p, q in itertools.pairwise((*corners, corners[0]))])


@pytest.mark.parametrize("blades_", [2, 3, 4, 6])
@pytest.mark.parametrize("r_root", [0.02, 0.03, 0.05, 0.08, 0.15])
def test_neighbours_do_not_stand_in_each_other(blades_, r_root):
    """With what comes off their roots: no point of one lies in the next, and the gap stays between them."""
    cut = template(0.160, 0.004, 0.095, 0.045, 0.65, r_root, math.radians(21.0))
    if r_root * math.tan(math.pi / blades_) < 0.0025 / math.cos(math.pi / blades_):
        with pytest.raises(ValueError, match="meet at the shaft"):
            root_cut(cut, blades_, 0.005)
        return
    root = root_cut(cut, blades_, 0.005)
    outline = cut.outline if root is None else np.concatenate([cut.outline[1:3], root])
    one, other = (on_the_hub(cut, filled(outline), k, blades_) for k in (0, 1))
    assert not Outline(one).contains_points(other).any()
    apart = np.hypot(*(one[:, None] - other[None]).transpose(2, 0, 1)).min()
    assert apart >= 0.0049
    assert (root is None) == (root_clearance(cut, blades_) >= 0.005)


# --- on the pipe ------------------------------------------------------------------------------------------------------


def corners_of(cut, place):
    """Outline of a blade on the pipe laid flat, its straight edge first."""
    shape = cut.outline - cut.outline.min(axis=0)
    if cut.straight_edge == "leading":
        shape[:, 0] = shape[:, 0].max() - shape[:, 0]
    if place.turned:
        shape = shape.max(axis=0) - shape
    return shape + np.array([place.x, place.y])


@given(blades(), st.floats(0.0, 0.005), st.floats(0.0, 0.03), st.floats(1.0, 8.0))
def test_blades_on_a_pipe_lie_apart_within_it_and_clear_of_the_seam(given_, kerf, seam, times):
    """No two share a point, each cut has its width, and none lies on the seam."""
    cut = template(*given_)
    found = nest(cut, cut.length * times, kerf, seam)
    assert 1 <= found.blades == len(found.places)
    around = math.pi * cut.D
    assert found.free >= seam - 1e-9
    placed = [corners_of(cut, place) for place in found.places]
    for points in placed:
        assert points[:, 0].min() >= seam / 2 - 1e-9
        assert points[:, 0].max() <= around - seam / 2 + 1e-9
        assert points[:, 1].max() <= cut.length * times + 1e-9
    for one, other in itertools.islice(itertools.combinations(placed, 2), 60):
        # Two straight pieces lie apart if at root, middle and tip of a row the one ends before the other begins.
        low, high = (max(one[:, 1].min(), other[:, 1].min()), min(one[:, 1].max(), other[:, 1].max()))
        if high - low < 1e-9:
            continue
        for y in np.linspace(low, high, 5):
            a, b = sorted((_span(one, y), _span(other, y)))
            assert b[0] - a[1] >= kerf - 1e-9
    assert 0.0 <= found.waste < 1.0


def _span(corners, y):
    """Where a blade begins and ends at a height."""
    xs = []
    for p, q in itertools.pairwise((*corners, corners[0])):
        if min(p[1], q[1]) - 1e-12 <= y <= max(p[1], q[1]) + 1e-12 and p[1] != q[1]:
            xs.append(p[0] + (y - p[1]) / (q[1] - p[1]) * (q[0] - p[0]))
    return min(xs), max(xs)


@given(blades())
def test_no_fewer_lie_side_by_side_than_have_room_at_their_widest_and_no_more_than_have_area(given_):
    """Turned end for end they can only gain."""
    cut = template(*given_)
    found = nest(cut, cut.length, 0.0, 0.0)
    wide = cut.D * max(cut.root, cut.tip)
    assert found.around >= math.floor(math.pi * cut.D / wide - 1e-9)
    assert found.waste >= -1e-9


def test_the_shortest_pipe_that_is_sold_gives_enough():
    """Three blades of 968 mm lie on 1 m of a wide pipe; eight need more than one row."""
    cut = template(0.250, 0.0062, 0.150, 0.070, 1.1, 0.132, math.radians(22.0))
    assert shortest(cut, 3, 0.003, 0.01) == 1.0
    assert shortest(cut, 8, 0.003, 0.01) == 2.0
    assert shortest(cut, 1000, 0.003, 0.01) == LENGTHS[-1]
    with pytest.raises(ValueError, match="shorter than one blade"):
        nest(cut, 0.9, 0.003, 0.01)


# --- hub, vane, balance -----------------------------------------------------------------------------------------------


@given(st.integers(2, 8), st.floats(0.05, 0.3), st.floats(0.02, 0.08), st.floats(0.004, 0.02), st.floats(1.0, 4.0))
def test_holes_keep_their_distances_from_every_edge_of_the_plate(n, first, step, hole, wide):
    """To the outline and to each other, whatever the number of arms."""
    assume(step >= PITCH * hole)
    assume(first - 0.01 >= 2 * EDGE * hole)
    width = 2 * EDGE * hole * wide
    made = plate(n, (first, first + step), hole, width, 0.02)
    assert Outline(made.outline).contains_points(made.holes).all()
    edge = filled(made.outline)
    far = np.hypot(*(made.holes[:, None] - edge[None]).transpose(2, 0, 1)).min()
    assert far >= EDGE * hole - 1e-6
    turned = made.holes.reshape(n, 2, 2)
    assert np.hypot(*turned.transpose(2, 0, 1)) == pytest.approx(np.tile([first, first + step], (n, 1)))
    assert np.hypot(*(turned[0, 1] - turned[1, 1])) == pytest.approx(made.across)
    assert np.abs(made.holes.sum(axis=0)) == pytest.approx(0.0, abs=1e-9)


@given(st.floats(0.02, 3.0), st.floats(0.1, 2.0))
def test_the_vane_has_the_area_that_the_sheet_says(area, height):
    """Measured around its outline, in fine steps of its corners."""
    x, y = vane(area, height).outline.T
    around = abs(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1))) / 2
    assert around == pytest.approx(area, rel=2e-3)
    assert np.ptp(y) == pytest.approx(height)
    assert (x.mean(), y.mean()) == pytest.approx((0.0, 0.0), abs=1e-9)


def test_weights_bring_every_blade_to_the_one_across_from_it():
    """With them on nothing is left; the order is one that was tried against all."""
    rows = tuple(
        WeighedBlade(n, m, p) for n, m, p in (("a", 1.0, 0.5), ("b", 1.03, 0.49), ("c", 0.99, 0.52), ("d", 1.0, 0.5))
    )
    made = balance_sheet(rows, 4, 0.2)
    moments = {row.name: row.moment for row in rows}
    after = [moments[name] + weight * made.at for name, weight in zip(made.order, made.weights, strict=True)]
    turns = np.exp(2j * np.pi * np.arange(4) / 4)
    assert abs(np.dot(after, turns)) == pytest.approx(0.0, abs=1e-12)
    assert sum(made.weights) < 0.7 * sum(max(moments.values()) - m for m in moments.values()) / made.at
    tried = [abs(np.dot([moments[n] for n in ("a", *rest)], turns)) for rest in itertools.permutations("bcd")]
    assert made.left == pytest.approx(min(tried))


def test_without_enough_weighed_the_sheet_is_blank_with_a_row_to_spare():
    """Nothing is computed of two blades where the rotor has three."""
    made = balance_sheet((WeighedBlade("a", 1.0, 0.5), WeighedBlade("b", 1.0)), 3, 0.2)
    assert [row.name for row in made.rows] == ["a", "b", "", ""]
    assert (made.order, made.left, made.weights) == ((), None, ())


@pytest.mark.parametrize("blades", [3, 4, 5])
def test_holes_in_the_inner_corners_touch_both_arms(blades):
    """Their middles are as far from the sides of both arms as the fillet is round: by plain geometry."""
    made = plate(blades, (0.157, 0.192, 0.227), 0.009, 0.09, 0.025)
    assert len(made.corners) == blades
    for x, y in made.corners:
        for arm in range(blades):
            turn = math.pi / 2 + 2 * math.pi * arm / blades
            along, off = x * math.cos(turn) + y * math.sin(turn), abs(-x * math.sin(turn) + y * math.cos(turn))
            assert along < 0 or off - 0.045 >= FILLET - 1e-9
        turns = (math.pi / 2 + 2 * math.pi * arm / blades for arm in range(blades))
        sides = ((x * math.cos(t) + y * math.sin(t), abs(y * math.cos(t) - x * math.sin(t))) for t in turns)
        nearest = sorted(off for along, off in sides if along > 0)[:2]
        assert nearest == pytest.approx([0.045 + FILLET] * 2)
    assert len(plate(2, (0.157, 0.192), 0.009, 0.09, 0.025).corners) == 0


@pytest.mark.parametrize(("change", "says"), [
    ({"blades": 1}, "a weight on the other side"), ({"blades": 12}, "12 roots of 140 mm have no room"),
    ({"radius": 0.02}, "no room beside each other at 20 mm"), ({"shaft": 0.15}, "reaches the corners"),
])  # fmt: skip
def test_hubs_that_cannot_be_made_are_refused(change, says):
    """By plain geometry: n roots side by side need n times half a width over the tangent of half their angle."""
    sound = {"blades": 3, "root": 0.14, "radius": 0.12, "width": 0.12, "shaft": 0.025}
    hold_apart(**sound)
    with pytest.raises(ValueError, match=says):
        hold_apart(**(sound | change))
