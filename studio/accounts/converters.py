"""Dates in addresses: importing this makes `<date:on>` known to every urls.py."""

from datetime import date

from django.urls import register_converter

from studio.accounts.models import FIRST_YEAR, LAST_YEAR


class DateConverter:
    """A date in an address: 2027-02-06. One that is none, or no sensible one, is not found."""

    regex = r"\d{4}-\d{2}-\d{2}"
    to_url = staticmethod(str)

    def to_python(self, value):
        """Return the date; ValueError for what is none."""
        on = date.fromisoformat(value)
        if not FIRST_YEAR <= on.year <= LAST_YEAR:
            raise ValueError(f"{value}: the year is not between {FIRST_YEAR} and {LAST_YEAR}")
        return on


register_converter(DateConverter, "date")
