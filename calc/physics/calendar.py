"""The year that all sums over time are made with: 365 days, 8760 hours, beginning with January."""

from __future__ import annotations

#: Seconds of an hour, a day and a year. [s]
HOUR, DAY, YEAR = 3600.0, 86400.0, 365.0 * 86400.0
#: Hours of a year.
HOURS = 8760
#: Days of each month.
DAYS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
