"""Names of rules, mechanisms and looks as people type them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from journal.errors import BadInput, by_last_part, nearest

if TYPE_CHECKING:
    from calc.rules.engine import Rule

#: Between several of them in one text.
BETWEEN = "; "


def rule_named(name: str) -> Rule:
    """The rule of a name.

    Raises
    ------
    BadInput
        With the nearest right name.
    """
    from calc.rules import RULES

    rules = {rule.id: rule for rule in RULES}
    if name not in rules:
        close = nearest(name, rules)
        raise BadInput(
            f"There is no rule called {name!r}", f"Did you mean {close}?" if close else "See: galebook rules"
        )
    return rules[name]


def symptoms_named(typed: str) -> str:
    """Symptoms of the closed set, by their words or by what builders say for one of them; a semicolon parts several.

    Raises
    ------
    BadInput
        With the whole set, where one is not among them.
    """
    from calc.mechanisms.words import SYMPTOMS, symptoms_of
    from journal.book.choosing import word

    found: list[str] = []
    for one in filter(None, (part.strip() for part in typed.split(";"))):
        said = symptoms_of(one)
        found += [one.casefold()] if one.casefold() in SYMPTOMS else said or [str(word(one, SYMPTOMS, "Symptom"))]
    if not found:
        raise BadInput("No symptom was named", f"One of: {BETWEEN.join(SYMPTOMS)}")
    return BETWEEN.join(dict.fromkeys(found))


def mechanism_named(name: str) -> str:
    """The id of a known mechanism of failure; its last part is enough where it is unmistakable.

    Raises
    ------
    BadInput
        With the nearest right name.
    """
    from calc.mechanisms import MECHANISMS

    matches = by_last_part(name, MECHANISMS)
    if len(matches) == 1:
        return matches[0]
    close = nearest(name.strip().casefold(), MECHANISMS)
    hint = f"Did you mean {close}?" if close else f"One of: {'; '.join(MECHANISMS)}"
    raise BadInput(f"There is no mechanism called {name!r}", hint)


def look_named(name: str) -> str:
    """The name of a look in the catalogue; a part that only one of them has is enough.

    Raises
    ------
    BadInput
        With the nearest right name.
    """
    from calc.mechanisms.looks import LOOKS

    typed = "-".join(name.casefold().replace("_", " ").replace("-", " ").split())
    if typed in LOOKS:
        return typed
    holding = [known for known in LOOKS if typed and typed in known]
    if len(holding) == 1:
        return holding[0]
    close = nearest(typed, LOOKS)
    hint = f"Meant: {' or '.join(holding[:5])}?" if holding else f"Did you mean {close}?" if close else ""
    raise BadInput(f"There is no look called {name!r}", hint or "See the names with: galebook look F1 --all")
