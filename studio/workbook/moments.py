"""Dates and times as people write them in spreadsheets; what cannot be told is never guessed."""

import re
from datetime import date, datetime, time, timedelta

MONTH_NAMES = (
    *("january", "february", "march", "april", "may", "june"),
    *("july", "august", "september", "october", "november", "december"),
)
WEEKDAYS = ["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"]
FIRST_YEAR, LAST_YEAR = 1900, 2199
SERIALS = range(18_264, 91_313)  # 1950 to 2149, as spreadsheets count days

ISO = re.compile(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})(?:[T ]00:00(?::00(?:\.0+)?)?Z?)?")
SLASHED = re.compile(r"(\d{1,2})([/-])(\d{1,2})\2(\d{4})")
DOTTED = re.compile(r"(\d{1,2})\.\s?(\d{1,2})\.\s?(\d{4})")
DAY_FIRST = re.compile(r"(\d{1,2})(?:st|nd|rd|th)?[ .-]+([a-z]+)\.?,?[ -]+(\d{4}|\d{2})")
MONTH_FIRST = re.compile(r"([a-z]+)\.?[ -]+(\d{1,2})(?:st|nd|rd|th)?,?[ -]+(\d{4})")
CLOCK = re.compile(r"(\d{1,2})(?:[:.h]([0-5]\d)(?::([0-5]\d))?)?\s?([ap])?\.?(?(4)m\.?|)")


class Misread(ValueError):
    """A cell that cannot be read. The message says what to do."""


def slashed_order(values):
    """Return which part comes first in the slashed dates of a column: "day", "month" or None.

    A part above 12 gives it away. None: nothing does, or the column contradicts itself.
    """
    firsts = set()
    for value in values:
        if isinstance(value, str) and (found := SLASHED.fullmatch(_plain(value))):
            first, second = int(found[1]), int(found[3])
            if first > 12 or second > 12:
                firsts.add("day" if first > 12 else "month")
    return firsts.pop() if len(firsts) == 1 else None


def read_date(value, order=None):
    """Return the date that a cell holds; raise Misread.

    order: what `slashed_order` says of the cell's column.
    """
    if isinstance(value, datetime):
        if value.time() != time():
            raise Misread("This is a date with a time. Write the date alone: 2027-02-06.")
        return _in_range(value.date())
    if isinstance(value, date):
        return _in_range(value)
    if isinstance(value, int | float) and not isinstance(value, bool) and int(value) in SERIALS:
        return date(1899, 12, 30) + timedelta(days=int(value))
    if not isinstance(value, str):
        raise Misread("This is not a date. Write it as 2027-02-06.")
    return _in_range(_from_text(value, order))


def _plain(text):
    return " ".join(text.split()).lower()


def _from_text(value, order):
    text, weekday = _without_weekday(_plain(value))
    found = _named(text) or _numbered(text, order)
    if found is None:
        raise Misread("This is not a date. Write it as 2027-02-06.")
    try:
        day = date(*found)
    except ValueError as error:
        raise Misread("There is no such day. Write the date as 2027-02-06.") from error
    if weekday is not None and day.weekday() != weekday:
        actual = WEEKDAYS[day.weekday()].capitalize()
        raise Misread(f"{day.isoformat()} is a {actual}. Correct the weekday or the date.")
    return day


def _without_weekday(text):
    for number, name in enumerate(WEEKDAYS):
        if found := re.fullmatch(rf"(?:{name}|{name[:4]}|{name[:3]})[.,]?,? (.+)", text):
            return found[1], number
    return text, None


def _month(word):
    for number, name in enumerate(MONTH_NAMES, start=1):
        if word in (name, name[:3]) or (word == "sept" and number == 9):
            return number
    return None


def _named(text):
    if (found := DAY_FIRST.fullmatch(text)) and (month := _month(found[2])):
        year = int(found[3])
        return year if year > 99 else 2000 + year, month, int(found[1])
    if (found := MONTH_FIRST.fullmatch(text)) and (month := _month(found[1])):
        return int(found[3]), month, int(found[2])
    return None


def _numbered(text, order):
    if found := ISO.fullmatch(text.upper()):
        return int(found[1]), int(found[2]), int(found[3])
    if found := DOTTED.fullmatch(text):
        return int(found[3]), int(found[2]), int(found[1])
    if found := SLASHED.fullmatch(text):
        return _slashed(int(found[1]), int(found[3]), int(found[4]), order)
    if re.fullmatch(r"\d{1,2}[/.-]\d{1,2}[/.-]\d{2}", text):
        raise Misread("Write the year in full, best as 2027-02-06.")
    return None


def _slashed(first, second, year, order):
    if first > 12 or (order == "day" and second <= 12):
        return year, second, first
    if second > 12 or order == "month" or first == second:
        return year, first, second
    one, other = date(year, second, first), date(year, first, second)
    raise Misread(f"This could be {one:%-d %B} or {other:%-d %B}. Write it as {one} or as {other}.")


def _in_range(day):
    if not FIRST_YEAR <= day.year <= LAST_YEAR:
        raise Misread(f"The year {day.year} cannot be right. Write the date as 2027-02-06.")
    return day


def read_time(value):
    """Return the time of day that a cell holds; raise Misread."""
    if isinstance(value, datetime):
        raise Misread("This is a date with a time. Write the time alone: 10:40.")
    if isinstance(value, time):
        return value.replace(microsecond=0)
    if isinstance(value, timedelta):
        value = value / timedelta(days=1)
    if isinstance(value, int | float) and not isinstance(value, bool):
        return _fraction(value)
    if not isinstance(value, str):
        raise Misread("This is not a time. Write it as 10:40.")
    return _clock(_plain(value))


def _fraction(value):
    if not 0 <= value < 1:
        raise Misread("A number is not a time of day. Write it as 10:40.")
    seconds = round(value * 86_400)
    return (datetime.min + timedelta(seconds=min(seconds, 86_399))).time()


def _clock(text):
    if text in ("noon", "midday", "12 noon"):
        return time(12)
    if text in ("midnight", "24:00", "24.00", "12 midnight"):
        raise Misread("Midnight begins or ends the day. Write 00:00, or 23:59 for its end.")
    found = CLOCK.fullmatch(text)
    if not found or (found[2] is None and found[4] is None):
        raise Misread("This is not a time. Write it as 10:40.")
    hour, half = int(found[1]), found[4]
    if hour > 23 or (half and not 1 <= hour <= 12):
        raise Misread("There is no such time. Write it as 10:40 or 22:40.")
    if half:
        hour = hour % 12 + (12 if half == "p" else 0)
    return time(hour, int(found[2] or 0), int(found[3] or 0))
