"""From doubtful inputs to many sampled designs.

A value on the sheet is known between two limits. Nothing more is known about it, so each doubtful number is
drawn evenly between them (JCGM 100:2008, 4.3.7). Samples are stratified (Latin hypercube) with a fixed seed:
the same sheet always gets the same probability.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from calc.machine.catalogue import catalogue, split
from calc.machine.design import Design, build_design, values
from calc.machine.entry import Value

#: Half-width implied by where a value comes from, as a share of it. Common practice, no source; each is shown
#: beside the value it is applied to and is replaced by a typed uncertainty.
PROVENANCE_DOUBT: dict[str, float] = {
    "measured": 0.02,
    "data plate": 0.05,
    "calculated": 0.05,
    "seller's claim": 0.20,
    "estimate": 0.20,
}

SAMPLES = 300
SEED = 20240229


@dataclass(frozen=True, slots=True, eq=False)
class Draws:
    """Which samples there are: a number of them, less those that cannot exist.

    Parameters
    ----------
    n : int
        How many were drawn.
    kept : integer array, optional
        Places of those that are left; all of them if left out.
    """

    n: int
    kept: NDArray[np.intp] | None = None

    def __len__(self) -> int:
        return self.n if self.kept is None else len(self.kept)

    def shares(self, name: str) -> NDArray[np.float64]:
        """Shares between 0 and 1 for one input, see :func:`draw`, of the samples that are left."""
        every = draw(self.n, name)
        return every if self.kept is None else every[self.kept]

    def without(self, gone: NDArray[np.bool_]) -> Draws:
        """What is left without some of the samples that are there.

        Examples
        --------
        >>> Draws(4).without(np.array([True, False, False, True])).kept.tolist()
        [1, 2]
        """
        kept = np.arange(self.n) if self.kept is None else self.kept
        return Draws(self.n, kept[~gone])


def sample(design: Design, doubts: Mapping[str, tuple[float, float]], drawing: Draws) -> Design:
    """Draw designs from the limits of their doubtful numbers.

    Parameters
    ----------
    design : Design
        The values on the sheet, scalar.
    doubts : mapping of str to (low, high)
        Limits by full name. [SI] What the design leaves out and is assumed is drawn where a rule uses it.
    drawing : Draws
        Which samples.

    Returns
    -------
    samples : Design
        With arrays of shape (samples,) for doubtful numbers, clipped to nothing: limits outside the permitted range
        of an input are an error of the caller.

    Raises
    ------
    ValueError
        If a lower limit exceeds its upper limit.
    """
    given: dict[str, Value] = {name: value for name, _, value in values(design)}
    limits = {name: lim for name, lim in doubts.items() if name in given}
    for name in sorted(limits):
        low, high = limits[name]
        if low > high:
            raise ValueError(f"{name}: lower limit {low} exceeds upper limit {high}")
        if low < high:
            given[name] = low + drawing.shares(name) * (high - low)
    return build_design(given, design.assumed)


@lru_cache(maxsize=2048)
def draw(n: int, name: str, seed: int = SEED) -> NDArray[np.float64]:
    """Shares between 0 and 1 for one input, one from each of n equal parts, in an order that is its own.

    Parameters
    ----------
    n : int
        Number of samples.
    name : str
        The input: another name gives another order, the same name always the same.
    seed : int
        Seed.

    Returns
    -------
    shares : array, shape (n,)

    Examples
    --------
    >>> np.floor(np.sort(draw(4, "rotor.diameter")) * 4).tolist()
    [0.0, 1.0, 2.0, 3.0]
    """
    rng = np.random.default_rng([seed, *name.encode()])
    shares: NDArray[np.float64] = (rng.permutation(n) + rng.random(n)) / n
    # Every machine is sampled with the same shares; nobody may change them for the others.
    shares.flags.writeable = False
    return shares


def limits(path: str, value: float, share: float) -> tuple[float, float]:
    """Limits of a number known within a share of itself, kept inside its permitted range.

    Examples
    --------
    >>> limits("rotor.diameter", 2.0, 0.02)
    (1.96, 2.04)
    """
    entry = catalogue()[split(path)[0]]
    # Temperatures in kelvin would turn 2 % into 6 K; their doubt is taken on the degree Celsius scale.
    half = abs(value - 273.15 if entry.unit == "kelvin" else value) * share
    return max(value - half, entry.low), min(value + half, entry.high)


def ranking(inputs: Mapping[str, NDArray[np.float64]], moved: NDArray[np.float64]) -> dict[str, float]:
    """Rank doubtful inputs by how much they move a result.

    Parameters
    ----------
    inputs : mapping of str to array, shape (n,)
        Sampled inputs.
    moved : array, shape (n,)
        The result for each sample.

    Returns
    -------
    shares : dict of str to float
        Squared rank correlation (Spearman) of each input with the result, greatest first; only those of 2 %
        or more.

    Notes
    -----
    Inputs are drawn independently, so the shares add up to about one where the result moves one way with each.

    Examples
    --------
    >>> a, b = np.arange(9.0), np.tile([0.0, 1.0, 2.0], 3)
    >>> list(ranking({"a": a, "b": b}, 10 * a + b))
    ['a', 'b']
    """
    # What never comes is further off than anything.
    moved = np.nan_to_num(np.asarray(moved, dtype=float), posinf=1e12, neginf=-1e12)
    if moved.ndim == 0 or np.ptp(moved) == 0:
        return {}
    result = _centred_ranks(_bytes(moved))
    ranked = {name: ranks for name, x in inputs.items() if (ranks := _centred_ranks(_bytes(x))) is not None}
    if result is None or not ranked:
        return {}
    many = np.array(list(ranked.values()))
    correlation = many @ result / np.sqrt(np.sum(many * many, axis=1) * np.sum(result * result))
    shares = dict(zip(ranked, np.square(correlation).tolist(), strict=True))
    return {name: share for name, share in sorted(shares.items(), key=lambda item: -item[1]) if share >= 0.02}


def _bytes(x: NDArray[np.float64]) -> bytes:
    return np.asarray(x, dtype=float).tobytes()


@lru_cache(maxsize=2048)
def _centred_ranks(numbers: bytes) -> NDArray[np.float64] | None:
    """Ranks less their mean, ties sharing the mean of theirs; None where the numbers do not differ.

    The same few inputs are held against what each of a hundred rules says.
    """
    x = np.frombuffer(numbers)
    if not np.ptp(x) > 0:
        return None
    _, index, counts = np.unique(x, return_inverse=True, return_counts=True)
    last = np.cumsum(counts)
    middle: NDArray[np.float64] = (last - (counts - 1) / 2)[index]
    middle -= (len(x) + 1) / 2
    middle.flags.writeable = False
    return middle
