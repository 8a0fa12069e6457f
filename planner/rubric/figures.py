"""Points as figures: exact inside, four places outside."""

from decimal import Decimal
from fractions import Fraction

PLACES = 4


def rounded(value: Fraction) -> Decimal:
    """Return a value at four places, without zeros at its end."""
    return Decimal(written(Decimal(value.numerator) / Decimal(value.denominator)))


def written(value: Decimal) -> str:
    """Return "20" or "7.5"."""
    text = f"{round(value, PLACES):f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
