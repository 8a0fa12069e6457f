"""Sight-reading: what the teacher's routine looks at, and how long the auditions let one look.

Read from a bridge.Season of `rows.drilled`; nothing here queries.
"""

from dataclasses import dataclass
from functools import cached_property

from planner.deadlines.wording import listed
from studio.entries.drill.asked import Asked
from studio.requirements.models import Kind
from studio.requirements.wording import study_time

USUAL = 30  # seconds: common practice, no source
MOST = 3600  # seconds, as a requirement may state


@dataclass(frozen=True)
class Stated:
    """A study time that auditions state. who: these, in words."""

    seconds: int
    who: str

    @property
    def words(self):
        """ "1 minute 30 seconds"."""
        return study_time(self.seconds)


class SightReading:
    """The routine of a Season's student.

    wanted: the seconds of the address, as text; what makes no sense is left out and said.
    """

    def __init__(self, season, wanted=""):
        self.student, self.asked, self.wanted = season.student, Asked(season), wanted.strip()

    @cached_property
    def _asking(self):
        """(who, requirement) of all sight-reading that is asked."""
        return [
            (self.asked.who(entry, row), row)
            for entry, row in self.asked.rows
            if row.kind == Kind.SIGHT_READING
        ]

    @cached_property
    def stated(self):
        """A Stated for each study time that is stated, the shortest first."""
        found = {}
        for who, row in self._asking:
            if row.study_seconds:
                found.setdefault(row.study_seconds, {})[who] = None
        return [Stated(seconds, listed(list(found[seconds]))) for seconds in sorted(found)]

    @property
    def silent(self):
        """Who asks for sight-reading and states no time, in words; "" if nobody does."""
        return listed(
            list(dict.fromkeys(who for who, row in self._asking if not row.study_seconds))
        )

    @property
    def seconds(self):
        """How long is looked: as wanted, else the shortest time that is stated, else as usual."""
        if self.is_wanted:
            return int(self.wanted)
        return self.stated[0].seconds if self.stated else USUAL

    @property
    def is_wanted(self):
        """Whether the address says how long."""
        plain = self.wanted.isascii() and self.wanted.isdecimal() and len(self.wanted) < 6
        return bool(plain) and 1 <= int(self.wanted) <= MOST

    @property
    def wrong(self):
        """What is wrong with the seconds of the address; "" if nothing is."""
        return f"Give seconds from 1 to {MOST}." if self.wanted and not self.is_wanted else ""

    @property
    def words(self):
        """How long is looked, in words."""
        return study_time(self.seconds)

    @property
    def clock(self):
        """The same as a clock shows it: "0:30"."""
        return f"{self.seconds // 60}:{self.seconds % 60:02}"

    @property
    def grounds(self):
        """Where the time comes from, a sentence."""
        who = next((each.who for each in self.stated if each.seconds == self.seconds), "")
        if who:
            return f"Stated by {who}."
        if self.is_wanted:
            return "As you chose."
        return f"No audition states a time: {USUAL} seconds are common practice, no source."

    @property
    def routine(self):
        """The teacher's lines."""
        lines = (line.strip() for line in self.student.studio.sight_reading.splitlines())
        return [line for line in lines if line]
