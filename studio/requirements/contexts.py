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
NO_SETS = {
    "title": "No requirements yet",
    "text": "They are written down on the page of the institution that asks for them.",
    "label": "Choose the institution",
}


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


def errata_since_check(row):
    """Return the errata published after the last check of a set; all, if there is no check."""
    errata = row.errata.all()
    return [each for each in errata if row.checked_on is None or each.on > row.checked_on]


def seasons(rows, wanted, current):
    """Return the season of the sets to show, and all there are, the latest first.

    wanted: the one that is asked for; else `current` if there are sets of it, else the latest.
    """
    there = sorted(set(rows.values_list("season", flat=True)), reverse=True)
    chosen = next((each for each in (wanted, current) if each in there), None)
    return chosen or (there[0] if there else current), there
