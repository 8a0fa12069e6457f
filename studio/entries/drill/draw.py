"""Which key comes next. All of it stands in the address: loading again draws nothing anew."""

from dataclasses import dataclass, replace
from urllib.parse import urlencode

from planner.scales import around, drawn_on

PANEL, SLOWEST, FIFTHS = "panel", "slowest", "fifths"
ORDERS = {
    PANEL: "As a panel would draw",
    SLOWEST: "Slowest first",
    FIFTHS: "Round the circle of fifths",
}
ALL = "all"
FURTHEST = 2000  # keys in a row, then the order begins anew
SEEDS = 1_000_000


@dataclass(frozen=True)
class Turn:
    """Where a drill stands. of: a demand's key, or "all-" and the instrument's. at: how many keys
    were drawn before, round upon round. key: one that was chosen by hand, "harmonic minor:F#".
    """

    of: str = ""
    order: str = PANEL
    seed: int = 0
    at: int = 0
    key: str = ""

    @property
    def query(self):
        """It as it stands in an address, with "?"."""
        return "?" + urlencode({name: value for name, value in self.fields if value != ""})

    @property
    def fields(self):
        """Its names and values, for hidden fields of a form."""
        return [
            ("of", self.of),
            ("order", self.order),
            ("seed", self.seed),
            ("at", self.at),
            ("key", self.key),
        ]

    @property
    def next(self):
        """The turn after this one; after a key that was chosen by hand the drawn one."""
        return replace(self, at=self.at if self.key else (self.at + 1) % FURTHEST, key="")

    @property
    def back(self):
        """The turn before, None at the beginning."""
        if self.key:
            return replace(self, key="")
        return replace(self, at=self.at - 1) if self.at else None

    @property
    def anew(self):
        """The beginning of another draw."""
        return replace(self, seed=(self.seed * 31 + 17) % SEEDS, at=0, key="")


def turn(params, today):
    """Return the Turn of an address or a form; what does not make sense is left out.

    Without a seed the day makes one: the same all day.
    """
    order = params.get("order", "")
    return Turn(
        of=params.get("of", "")[:40],
        order=order if order in ORDERS else PANEL,
        seed=_number(params.get("seed"), SEEDS, today.toordinal() % SEEDS),
        at=_number(params.get("at"), FURTHEST, 0),
        key=params.get("key", "")[:40],
    )


def _number(text, below, otherwise):
    """Return a whole number from 0 to `below`, else `otherwise`."""
    plain = text and text.isascii() and text.isdecimal() and len(text) < 10
    return int(text) if plain and int(text) < below else otherwise


def drawn(at, keys, speed):
    """Return which of `keys` (asked.Key) the Turn `at` draws.

    speed: how far a key is towards its tempo, as it stood this morning, so that what is written
    down in between moves nothing; None: never measured.
    """
    if at.order == PANEL:
        return keys[drawn_on([key.scale.tonic for key in keys], at.seed, at.at)]
    order = _slowest(keys, speed) if at.order == SLOWEST else _circle(keys)
    return order[at.at % len(keys)]


def _circle(keys):
    """Return all of one sort round the circle of fifths, then the next sort."""
    sorts = list(dict.fromkeys(key.sort for key in keys))
    ordered = [keys[place] for place in around([key.scale.tonic for key in keys])]
    return sorted(ordered, key=lambda key: sorts.index(key.sort))


def _slowest(keys, speed):
    """Return those never measured first, then from the slowest on."""

    def rank(key):
        measured = speed(key)
        return measured is not None, measured or 0

    return sorted(_circle(keys), key=rank)
