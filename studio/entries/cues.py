"""Cues under the headings a teacher thinks in: what is late, today, this week, next week."""

from dataclasses import dataclass
from itertools import groupby

from planner.deadlines import When

HEADINGS = {
    When.OVERDUE: "Overdue",
    When.TODAY: "Today",
    When.THIS_WEEK: "This week",
    When.NEXT_WEEK: "Next week",
    When.LATER: "Later",
}
SOON = tuple(HEADINGS)[:4]
UNDATED = "Once the date is known"


@dataclass(frozen=True)
class CueGroup:
    """The cues under one heading, in order of the day to plan for."""

    when: When
    cues: tuple

    @property
    def label(self):
        """The heading over the group."""
        return HEADINGS[self.when]

    @property
    def late(self):
        """Whether the heading stands in red pencil."""
        return self.when == When.OVERDUE


@dataclass(frozen=True)
class Month:
    """The cues to be planned for in one month."""

    label: str
    cues: tuple

    late = False


def by_month(cues, today):
    """Return cues, in order of the day to plan for, as Months; the year only where it changes."""
    months = groupby(cues, lambda cue: cue.due.plan_by.replace(day=1))
    return [
        Month(f"{first:%B}" if first.year == today.year else f"{first:%B %Y}", tuple(some))
        for first, some in months
    ]


def grouped(seasons, headings=SOON):
    """Return the open cues of many Seasons as CueGroups; headings without a cue are left out."""
    cues = [cue for season in seasons for cue in season.open_cues]
    cues.sort(key=lambda cue: (cue.due.plan_by, cue.place, cue.name))
    return under_headings(cues, headings)


def under_headings(cues, headings=SOON):
    """Return cues, in the order they come in, as CueGroups; headings without one are left out."""
    groups = (
        CueGroup(when, tuple(cue for cue in cues if cue.due.when == when)) for when in headings
    )
    return [group for group in groups if group.cues]
