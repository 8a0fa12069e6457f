"""One student's deadlines as a network in time."""

from django.shortcuts import render
from django.views.decorators.http import require_safe

from studio.accounts.access import read_or_404, staff_or_404
from studio.entries.bridge import Season
from studio.entries.deadlines_page import DeadlinesPage
from studio.entries.queries import whole_season


@require_safe
def deadlines(request, pk):
    """Every task of one student: from when, until when, what binds, what is too late."""
    who = staff_or_404(request.who)
    page = DeadlinesPage(Season(read_or_404(who, whole_season(who), pk=pk)), who)
    return render(request, "entries/deadlines.html", {"page": page})
