"""Of what a story consists."""

from __future__ import annotations

from typing import Any


class Step:
    """One command of the story, with what its builder would have typed.

    Parameters
    ----------
    verb : str
        The command, such as ``attempt``.
    refused : str
        What is told where the program refuses it; empty if it must not.
    **typed : str, number or dict
        What is typed, by its names in the service that the command calls, or in the object that it takes.
    """

    def __init__(self, verb: str, /, *, refused: str = "", **typed: Any) -> None:
        self.verb, self.refused, self.typed = verb, refused, typed


class Scene:
    """Steps of one season, each season one transaction, and what is told of it."""

    def __init__(self, told: str, steps: tuple[Step, ...]) -> None:
        self.told, self.steps = told, steps
