"""Whatever JSON has a value with its unit: value times unit is what the screen of the same command shows."""

import json
import re

import pytest

from tests.cli.test_commands import READING

#: Screens that show all that their JSON has; of others only some numbers stand on the screen.
WHOLE = {"check": ["--all"], "compare": ["--all"], "why": ["--all"]}
#: Its JSON holds every finding of every option, its screen those that decide.
SHORT = {"weigh"}
#: Screens round to two figures.
ROUNDED = 0.06


def told(data, path=""):
    """Every value that stands beside a unit, with where."""
    if isinstance(data, dict):
        value = data.get("value")
        if "unit" in data and isinstance(value, int | float) and value:
            yield f"{path}.{data.get('name') or data.get('rule')}", abs(value), data["unit"]
        for key, inner in data.items():
            yield from told(inner, f"{path}.{key}")
    elif isinstance(data, list):
        for i, inner in enumerate(data):
            yield from told(inner, f"{path}[{i}]")


@pytest.mark.parametrize("name", sorted({*READING} - SHORT))
def test_value_times_unit_is_what_the_screen_shows(name, story, run):
    """The number that JSON has beside a unit stands on the screen too, rounded."""
    call = [*name.split(), *READING[name]]
    values = list(told(json.loads(run(*call, "--json").out)))
    if not values:
        return
    text = run(*call, *WHOLE.get(name, [])).out
    shown = [float(number) for number in re.findall(r"\d+(?:\.\d+)?", text)]
    assert [v for v in values if not any(abs(v[1] - n) <= ROUNDED * v[1] for n in shown)] == []
