"""Sloppy inputs of a list written without a look at the program: understood, refused with a hint, or asked about."""

import tomllib
from pathlib import Path

import pytest

from calc.machine import catalogue
from calc.quantities import QUANTITIES
from journal.book.measurements import quantity_named, read_measurement
from journal.book.plain_quantity import Unclear
from journal.book.quantity import parse
from journal.book.sheet import entry_of, named_input, read_value
from journal.book.written import money
from journal.errors import BadInput

_FILE = Path(__file__).with_name("sloppy.toml")
_CASES = tomllib.loads(_FILE.read_text(encoding="utf-8"))["case"] if _FILE.exists() else []
pytestmark = pytest.mark.skipif(not _CASES, reason="no list of sloppy inputs is there")


def read(case):
    """What a case reads: the word, or the number with its limits."""
    if case.get("name") in ("cost", "money"):
        return money(case["typed"], case.get("currency"))
    if "quantity" in case:
        got = read_measurement(quantity_named(case["quantity"]), case["typed"])
        return got["value"], got["low"], got["high"]
    got = read_value(_path(case["name"]), case["typed"])
    return got["word"] or (got["number"], got["low"], got["high"])


def _path(name):
    """A name of the sheet, with a label where it takes one and has none."""
    entry = catalogue.catalogue().get(name)
    return named_input(entry.named("main") if entry else name)


def expected(case):
    """What it must read as, by its plain form."""
    if case.get("name") in ("cost", "money"):
        amount, _, code = case["reads"].partition(" ")
        return {"cost": float(amount), "currency": code}
    if "quantity" in case:
        got = read_measurement(quantity_named(case["quantity"]), case["reads"])
        return got["value"], got["low"], got["high"]
    entry = entry_of(_path(case["name"]))[0]
    if entry.kind != "number":
        return case["reads"]
    got = parse(case["reads"], entry, case["name"])
    return got.value, got.low, got.high


@pytest.mark.parametrize("case", _CASES, ids=lambda c: f"{c.get('name') or c.get('quantity')}-{c['typed']}")
def test_none_is_silently_taken_for_something_else(case):
    """Each case says what it reads as, or what the hint must hold, or between what is asked."""
    if "reads" in case:
        got, wanted = read(case), expected(case)
        assert got == wanted if isinstance(wanted, str | dict) else got == pytest.approx(wanted, rel=1e-3)
        return
    with pytest.raises(Unclear if "asks" in case else BadInput) as caught:
        read(case)
    for words in case.get("asks") or [case["refused_with"]]:
        assert words in str(caught.value)


def test_quantities_and_inputs_are_those_of_the_catalogues():
    """A case of a name that there is not would say nothing."""
    for case in _CASES:
        name = case.get("name")
        assert name in ("cost", "money") or (case["quantity"] in QUANTITIES if name is None else _path(name))
