"""Whether a machine was ever put up, since when, and whether it was taken down again, by its attempts."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal.book.days import day_in_words, order

if TYPE_CHECKING:
    from journal.publish.story import Chapter

#: Attempts by which it is made or put up, and those in which it is in use.
_MAKING, _USING = ("bench test", "raising"), ("run", "storm")


@dataclass(frozen=True)
class HowItStands:
    """How a machine stands: days as the record keeps them, empty where there is none.

    Parameters
    ----------
    built : str
        Of the first bench test or raising, where that is what its record begins with.
    running : str
        Of its first run or storm, where its record begins with that: when it was built nobody wrote down.
    lowered : str
        Of its lowering, unless it was put up or ran again since.
    bench_only : bool
        Whether it was only ever tried on a bench.
    """

    built: str = ""
    running: str = ""
    lowered: str = ""
    bench_only: bool = False

    @property
    def words(self) -> str:
        """In words, such as ``built May 2021, lowered June 2022``."""
        began = f"built {day_in_words(self.built)}" if self.built else ""
        began = began or (f"running since {day_in_words(self.running)}" if self.running else "")
        down = f"lowered {day_in_words(self.lowered)}" if self.lowered else ""
        return ", ".join(filter(None, [began, down]))


def standing(c: Chapter) -> HowItStands:
    """How the machine of a chapter stands by its record."""
    tried = sorted((t.attempt for t in c.tried), key=lambda a: order(a.began))
    first = next((a for a in tried if a.kind in (*_MAKING, *_USING)), None)
    # A bench test or a repair of what lies on the ground puts nothing up.
    last = next((a for a in reversed(tried) if a.kind in ("raising", "lowering", *_USING)), None)
    return HowItStands(
        first.began if first and first.kind in _MAKING else "",
        first.began if first and first.kind in _USING else "",
        last.began if last and last.kind == "lowering" else "",
        bool(tried) and all(a.kind == "bench test" for a in tried),
    )
