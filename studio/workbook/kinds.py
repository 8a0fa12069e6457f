"""How the values of each kind of model field are read from a cell, written to one and compared."""

import difflib
import re
from datetime import date, datetime, time
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from planner.zones import UnknownZone, names, zone
from studio.accounts.models import validate_zone
from studio.workbook.moments import Misread, read_date, read_time, slashed_order

UNSEEN = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x84\x86-\x9f\u200b\u2060\ufeff\ufffe\uffff]")
GROUPED = re.compile(r"(?<=\d)[\s'](?=\d{3}(?!\d))")
PLAIN = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:e[+-]?\d+)?", re.IGNORECASE)
COMMA = re.compile(r"[+-]?\d+,\d+")
THOUSANDS = re.compile(r"[+-]?[1-9]\d{0,2}(?:,\d{3})+(?:\.\d+)?")
POINTED = re.compile(r"[+-]?[1-9]\d{0,2}(?:\.\d{3})+,\d+")
SMALLEST, LARGEST, LONGEST = -32_768, 32_767, 2_147_483_647
ANSWERS = {
    word: answer
    for answer, words in ((True, "yes y true 1 x"), (False, "no n false 0"))
    for word in words.split()
}


def clean_line(text):
    """Return `text` without characters nobody sees, and with single spaces between words."""
    return " ".join(UNSEEN.sub("", text).split())


def loose(text):
    """Return `text` so that capitals and spaces make no difference."""
    return " ".join(str(text).split()).casefold()


def closest(wanted, known):
    """Return the one of `known` that looks most like `wanted`, or None."""
    by_loose = {loose(name): name for name in reversed(list(known))}
    found = difflib.get_close_matches(loose(wanted), by_loose, n=1, cutoff=0.65)
    return by_loose[found[0]] if found else None


def did_you_mean(wanted, known):
    """Return “ Did you mean …?” or nothing."""
    near = closest(wanted, known)
    return f" Did you mean “{near}”?" if near is not None else ""


class Kind:
    """One way of reading and writing. `empty`: what an empty cell means."""

    says = ""

    def __init__(self, field):
        self.field = field
        usual = field.default if field.has_default() and not callable(field.default) else None
        self.optional = field.blank or field.null or usual is not None
        self.empty = usual if usual is not None else ("" if field.empty_strings_allowed else None)

    @property
    def about_empty(self):
        """What an empty cell means, for the page."""
        usual = self.write(self.empty)
        return "" if usual is None else f"Empty: {usual}."

    def column(self, values):
        """Return what reading one cell needs to know of its whole column."""

    def read(self, value, column=None):
        """Return the value a cell holds (never an empty one); raise Misread."""
        raise NotImplementedError

    def write(self, value):
        """Return what stands in the cell for `value`; None: it is empty."""
        return value

    def tidy(self, value):
        """Return a value of the field as reading it from a cell would give it."""
        return value

    def same(self, one, other):
        """Whether two values of the field are the same to a teacher."""
        return self.tidy(one) == self.tidy(other)


class Text(Kind):
    """A line of text: spaces at the ends, double spaces and unseen characters do not count."""

    def clean(self, text):
        """Return it without what cannot be seen, in one line."""
        return clean_line(text)

    def read(self, value, column=None):
        if isinstance(value, datetime | date | time):
            raise Misread(
                "The spreadsheet has made a date of this. Format the cell as text, then write it."
            )
        if isinstance(value, float) and value.is_integer():
            value = int(value)
        return self.checked(self.clean(str(value)))

    def checked(self, text):
        """Return the text if the field takes it; else Misread."""
        if self.field.max_length and len(text) > self.field.max_length:
            raise Misread(f"Write at most {self.field.max_length} letters; there are {len(text)}.")
        if text:
            try:
                self.field.run_validators(text)
            except ValidationError as error:
                raise Misread(" ".join(error.messages)) from error
        return text

    def write(self, value):
        return self.clean(value) or None

    def tidy(self, value):
        return self.clean(value)


class Lines(Text):
    """Text that keeps its lines."""

    says = "Text, of several lines if you like."

    def clean(self, text):
        text = UNSEEN.sub("", text.replace("\r\n", "\n").replace("\r", "\n"))
        text = text.replace("\xa0", " ").replace("\x85", "\n")
        return "\n".join(line.rstrip() for line in text.split("\n")).strip()


class Address(Text):
    """A link or an e-mail address."""

    @property
    def says(self):
        web = isinstance(self.field, models.URLField)
        return "A link: https://…" if web else "An e-mail address."


class Zone(Text):
    """A time zone by its IANA name."""

    says = "A time zone: America/Chicago."

    def checked(self, text):
        same = [name for name in names() if name.casefold() == text.casefold()]
        try:
            zone(name := same[0] if same else text)
        except UnknownZone as error:
            raise Misread(
                f"{str(error).rstrip('.?')}{'?' if error.suggestions else '.'}"
            ) from error
        return name


class Choice(Kind):
    """One of a list, by what is kept or by its label."""

    def __init__(self, field):
        super().__init__(field)
        self.values = [value for value, _ in field.choices]
        self.by_text = {loose(label): value for value, label in field.choices}
        self.by_text |= {loose(value): value for value in self.values}

    @property
    def says(self):
        return f"One of: {', '.join(filter(None, self.values))}."

    def read(self, value, column=None):
        found = self.by_text.get(loose(value))
        if found is None:
            raise Misread(f"{self.says}{did_you_mean(value, self.by_text)}")
        return found

    def write(self, value):
        return value or None


class Named(Choice):
    """One of a list that is kept as numbers and written as words: a weekday."""

    def __init__(self, field):
        super().__init__(field)
        self.labels = dict(field.choices)
        self.values = list(self.labels.values())
        self.by_text = {loose(label): value for value, label in self.labels.items()}

    def write(self, value):
        return self.labels.get(value)


class YesNo(Kind):
    """Yes or no."""

    says = "Yes or no."

    def read(self, value, column=None):
        found = ANSWERS.get(loose(value))
        if found is None:
            raise Misread("Write yes or no.")
        return found

    def write(self, value):
        return "yes" if value else "no"


class Day(Kind):
    """A date."""

    says = "A date: 2027-02-06."

    def column(self, values):
        return slashed_order(values)

    def read(self, value, column=None):
        return read_date(value, column)


class Clock(Kind):
    """A time of day."""

    says = "A time: 10:40 or 10:40 pm."

    def read(self, value, column=None):
        return read_time(value)


def readings(text):
    """Return the numbers that `text` may mean: 1,500 is one and a half, or fifteen hundred."""
    text = GROUPED.sub("", text.strip()).replace("\N{MINUS SIGN}", "-")
    if PLAIN.fullmatch(text):
        return [Decimal(text)]
    found = []
    if COMMA.fullmatch(text):
        found.append(Decimal(text.replace(",", ".")))
    if THOUSANDS.fullmatch(text):
        found.append(Decimal(text.replace(",", "")))
    if POINTED.fullmatch(text):
        found.append(Decimal(text.replace(".", "").replace(",", ".")))
    return found


class Number(Kind):
    """A number within the field's bounds; with a comma where only one reading makes sense."""

    wanted = "number"
    bounds = (None, None)

    def __init__(self, field):
        super().__init__(field)
        low, high = self.bounds
        self.low = max(_limits(field, MinValueValidator, low), default=None)
        self.high = min(_limits(field, MaxValueValidator, high), default=None)

    @property
    def says(self):
        low, high = self.low, self.high
        if high in (None, LARGEST, LONGEST):
            return f"A {self.wanted}." if low is None else f"A {self.wanted}, {low} or more."
        return f"A {self.wanted} from {low} to {high}."

    def fits(self, number):
        """Whether `number` can stand in the field."""
        above = self.low is None or number >= self.low
        return number.is_finite() and above and (self.high is None or number <= self.high)

    def read(self, value, column=None):
        if isinstance(value, str):
            found = {number for number in readings(value) if self.fits(number)}
        elif isinstance(value, int | float) and not isinstance(value, bool):
            found = {number for number in [Decimal(str(value))] if self.fits(number)}
        else:
            found = set()
        if len(found) > 1:
            one, other = sorted(found)
            raise Misread(
                f"This could be {one.normalize()} or {other}. Write it without the comma."
            )
        if not found:
            raise Misread(f"Write {self.says[0].lower()}{self.says[1:]}")
        return self.kept(found.pop())

    def kept(self, number):
        """Return `number` as the field keeps it."""
        return float(number)

    def tidy(self, value):
        # Spreadsheets keep no more than fifteen digits.
        return float(f"{value:.15g}") if isinstance(value, float) else value

    def write(self, value):
        return self.tidy(value)


class Whole(Number):
    """A whole number."""

    wanted = "whole number"

    def __init__(self, field):
        if isinstance(field, models.PositiveIntegerField):
            self.bounds = (0, LONGEST)
        else:
            positive = isinstance(field, models.PositiveSmallIntegerField)
            self.bounds = (0 if positive else SMALLEST, LARGEST)
        super().__init__(field)

    def fits(self, number):
        return super().fits(number) and number == int(number)

    def kept(self, number):
        return int(number)


class Tenths(Number):
    """A decimal number with the field's places: tenths of a minute, hundredths of a dollar."""

    def __init__(self, field):
        self.step = Decimal(1).scaleb(-field.decimal_places)
        self.bounds = (0, 10 ** (field.max_digits - field.decimal_places) - self.step)
        super().__init__(field)
        self.places = field.decimal_places

    @property
    def says(self):
        places = f"{self.places} place{'s' if self.places > 1 else ''}"
        return f"{super().says.rstrip('.')}, with {places} after the point at most."

    def fits(self, number):
        return super().fits(number) and number == number.quantize(self.step)

    def kept(self, number):
        return number.quantize(self.step)

    def write(self, value):
        return None if value is None else float(value)


def _limits(field, validator, bound):
    found = [v.limit_value for v in field.validators if isinstance(v, validator)]
    return found if bound is None else [*found, bound]


KINDS = (
    (models.BooleanField, YesNo),
    (models.DateField, Day),
    (models.TimeField, Clock),
    (models.DecimalField, Tenths),
    (models.FloatField, Number),
    (models.IntegerField, Whole),
    (models.EmailField, Address),
    (models.URLField, Address),
    (models.TextField, Lines),
    (models.CharField, Text),
)


def kind_of(field):
    """Return how values of a model field are read and written."""
    if field.choices:
        return (Named if isinstance(field, models.IntegerField) else Choice)(field)
    if validate_zone in field.validators:
        return Zone(field)
    return next(kind(field) for base, kind in KINDS if isinstance(field, base))
