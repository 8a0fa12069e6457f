"""The studio's results of a season: what was heard, what is waited for, what wants a reply."""

from django.shortcuts import render

from studio.accounts.access import staff_or_404
from studio.entries.results import Results, season_results


def results(request):
    """All entries of the season by audition day, and before them what needs somebody."""
    who = staff_or_404(request.who)
    context = {"results": Results(season_results(who), who.studio.today)}
    return render(request, "entries/results.html", context)
