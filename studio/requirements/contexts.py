"""What the pages of the repertoire and of requirements show."""

from django.urls import reverse
from django.utils.html import format_html

from studio.accounts.access import may_add
from studio.accounts.pages import Row
from studio.accounts.words import counted
from studio.requirements import wording
from studio.requirements.models import Piece
from studio.requirements.wording import plain

PIECE_COLUMNS = ("Piece", "Kind", "Minutes", "Hours to prepare", "Piano", "Played by")
SET_COLUMNS = ("Asked of", "Season", "Requirements", "Entries", "Checked")


def piece_row(piece):
    """Return the line of a piece of `queries.pieces`."""
    cells = (
        str(piece),
        piece.get_kind_display(),
        f"{plain(piece.minutes)} min" if piece.minutes is not None else "",
        f"{plain(piece.hours)} h" if piece.hours is not None else "",
        wording.PIANO.get(piece.piano, ""),
        counted(piece.players, "student"),
    )
    return Row(piece.get_absolute_url(), cells)


def no_pieces(who):
    """Say what to do while the repertoire is empty."""
    if not may_add(who, Piece):
        return {"title": "No pieces yet", "text": "The studio’s teacher adds them."}
    return {
        "title": "No pieces yet",
        "text": "A piece is what is prepared and played: a movement, a study, an excerpt, a set of "
        "scales. Type the first one above, or load a whole season from the workbook.",
        "url": reverse("piece_add"),
        "label": "Add a piece with all details",
    }


def asked_of(row):
    """Return "Horn, undergraduate, performance"."""
    return ", ".join(filter(None, [row.instrument.name, row.level, row.degree]))


def set_row(row):
    """Return the line of a set of `queries.requirement_sets`."""
    cells = (
        asked_of(row),
        row.season,
        counted(row.asked, "requirement"),
        counted(row.entered, "entry", "entries"),
        checked(row),
    )
    return Row(row.get_absolute_url(), cells)


def checked(row):
    """Return when and by whom a set was checked, or in red that it was not."""
    if row.checked_on is None:
        return format_html('<span class="red">{}</span>', "not checked yet")
    by = f" by {row.checked_by}" if row.checked_by else ""
    return f"{row.checked_on:%-d %B %Y}{by}"


class Asked:
    """A requirement as a line of its set's page."""

    def __init__(self, requirement):
        self.requirement = requirement

    @property
    def rules(self):
        """Its rules in words: "Solo · 2 to 3 pieces · at most 10 minutes · from memory"."""
        row = self.requirement
        kind = "" if row.is_group else row.get_kind_display()
        weight = f"weight {row.weight}" if row.weight > 1 else ""
        return " · ".join(filter(None, [kind, *wording.rules(row), weight]))


class SetPage:
    """A requirement set with its lines and what is missing."""

    def __init__(self, row):
        self.set = row
        self.title = asked_of(row)
        self.asked = [Asked(requirement) for requirement in row.requirements.all()]
        self.entries = list(row.entries.all())

    @property
    def quotes(self):
        """Whether a line quotes the institution."""
        return any(line.requirement.details for line in self.asked)

    @property
    def missing(self):
        """Say what makes the set unsafe to work from."""
        lacks = []
        if self.set.checked_on is None:
            lacks.append("Not checked yet: somebody has to read the institution's own page.")
        if not self.set.source:
            lacks.append("No source link: nobody can look it up again.")
        return lacks
