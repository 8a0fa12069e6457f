"""Sheets on paper: the audition day of one student or of a whole date, and the part."""

from django.http import Http404, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_safe

from planner.zones import zone
from studio.accounts.access import NOT_FOUND, read_or_404, staff_or_404
from studio.days import queries
from studio.days.contexts import Day, long_date
from studio.handouts import pdf

PAPERS = ("letter", "a4")


@require_safe
def day_sheet(request, pk):
    """One student's day on one page."""
    entry = read_or_404(request.who, queries.day_entries(), pk=pk)
    if entry.chosen_date is None:
        raise Http404("This entry has no date yet, and so no day to print.")
    return _day_sheets(request, [Day(entry)], "day-sheet.pdf", f"Day sheet, {entry.student}")


@require_safe
def day_sheets(request, on):
    """All students of one date, a page each, in order of their call."""
    who = staff_or_404(request.who)
    days = [Day(entry) for entry in queries.entries_on(who, on)]
    if not days:
        raise Http404(NOT_FOUND)
    title = f"Day sheets, {long_date(on)}"
    return _day_sheets(request, days, f"day-sheets-{on.isoformat()}.pdf", title)


def _day_sheets(request, days, filename, title):
    context = {"title": title, **frame(request)}
    return as_pdf(pdf.sheets("handouts/day_sheet.html", days, **context), filename)


def frame(request):
    """What every handout carries: its paper, and in the foot who printed it and when."""
    studio = request.who.studio
    paper = request.GET.get("paper")
    return {
        "studio": studio,
        "printed": timezone.localdate(timezone=zone(studio.time_zone)),
        "paper": paper if paper in PAPERS else "a4",
    }


def as_pdf(content, filename):
    """Return a PDF to be shown by the browser and kept by nobody on the way."""
    response = HttpResponse(content, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{filename}"'
    response["Cache-Control"] = "private, no-store"
    return response
