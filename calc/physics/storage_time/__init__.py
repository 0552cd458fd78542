"""A battery hour by hour through the years: what it carries, how long it is empty, what is thrown away.

All variants share one weather, the fair way to compare them and the only one that fits into memory. Everything but
the charge of the battery is worked out for many hours at once; only the charge goes from hour to hour.

``bank`` holds the battery and what became of it, ``simulating`` what is asked of it, ``running`` the hours themselves.
"""

from calc.physics.arrays import Array
from calc.physics.storage_time.bank import TENTHS, Bank, Hours, Outcome, over_years
from calc.physics.storage_time.simulating import hour_by_hour, on_grid, simulate

__all__ = ["TENTHS", "Array", "Bank", "Hours", "Outcome", "hour_by_hour", "on_grid", "over_years", "simulate"]
