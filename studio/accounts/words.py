"""Counts and dates as every app writes them."""

from django.utils.formats import date_format


def counted(number, one, many=None):
    """Return "1 audition", "3 auditions", or nothing for none; many: where it is not one with s."""
    return f"{number} {one if number == 1 else many or one + 's'}" if number else ""


def long_date(on):
    """Return "Tuesday 1 December 2026"."""
    return date_format(on, "l j F Y")


def money(amount, currency):
    """Return "75 USD", "1,075.50 USD"."""
    return f"{amount:,.2f}".removesuffix(".00") + f" {currency}"
