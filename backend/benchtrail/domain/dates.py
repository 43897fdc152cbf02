"""Calendar days as text `YYYY-MM-DD`: reading, adding days and months, counting.

Knows the calendar; never asks what day it is.
"""

import re
from calendar import monthrange
from datetime import date, timedelta

from benchtrail.domain.bounds import as_written
from benchtrail.domain.refused import Refused


def iso_date(text: object, what: str) -> date:
    """The day that `text` names. Raises `date_unreadable` unless it is a real day of 1970 to 2199 as YYYY-MM-DD."""
    if isinstance(text, str) and re.fullmatch(r"(19[7-9][0-9]|2[01][0-9]{2})-[0-9]{2}-[0-9]{2}", text):
        try:
            return date.fromisoformat(text)
        except ValueError:
            pass
    raise Refused("date_unreadable", what=what, written=as_written(text))


def add_days(day: date, days: int) -> date:
    """`day` and `days` later; the day of doing is day 0. Kept inside 1970 to 2199."""
    number = min(max(day.toordinal() + days, date(1970, 1, 1).toordinal()), date(2199, 12, 31).toordinal())
    return date.fromordinal(number)


def add_months(day: date, months: int) -> date:
    """`day` and `months` calendar months later, clamped to the month's end: 31 Jan and one month is 28 or 29 Feb."""
    number = day.year * 12 + day.month - 1 + months
    year, month = divmod(number, 12)
    if year > 2199:
        return date(2199, 12, 31)
    return date(year, month + 1, min(day.day, monthrange(year, month + 1)[1]))


def days_between(first: date, second: date) -> int:
    """Days from `first` to `second`, negative when the second is earlier."""
    return (second - first) // timedelta(days=1)
