"""Sheets on paper: the audition day of one student or of a whole date, and the part."""

from django.http import Http404, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_safe

from planner.zones import zone
from studio.accounts.access import NOT_FOUND, read_or_404, staff_or_404
from studio.accounts.models import Role
from studio.accounts.words import long_date
from studio.days import queries
from studio.days.contexts import Day
from studio.entries.bridge import Season
from studio.entries.choices import pieces
from studio.entries.compare import Comparison
from studio.entries.compare_queries import compared
from studio.entries.deadlines_page import DeadlineSheet
from studio.entries.parts import Part
from studio.entries.practice.moving import Practice
from studio.entries.practice.page import PracticePage
from studio.entries.queries import parts, whole_season
from studio.handouts import pdf
from studio.week.book import Book
from studio.week.calendar import WeekPage

PAPERS = ("letter", "a4")
DRAWING = (490, 64)  # points: as wide as the text on the narrower paper
# Sizes of a sheet that compares (bare: the drawing alone), and how many lines a drawing can have
# in them at most; what has more is not tried.
COMPARED = {
    "": 15,
    "dense": 23,
    "dense tight": 31,
    "dense bare": 23,
    "dense tight bare": 31,
    "dense tight tiny bare": 1000,
}


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


@require_safe
def part_sheet(request):
    """The asker's own part as a handout."""
    if request.who is None or request.who.role != Role.STUDENT:
        raise Http404(NOT_FOUND)
    return _part_sheet(request, membership=request.who)


@require_safe
def student_part_sheet(request, pk):
    """A student's part as a handout, for teacher or guardian: the same as the student prints it."""
    if request.who is None or request.who.role == Role.STUDENT:
        raise Http404(NOT_FOUND)
    return _part_sheet(request, pk=pk)


@require_safe
def deadlines_sheet(request, pk):
    """A student's deadlines by date, with boxes to tick; the student may print their own."""
    season = Season(read_or_404(request.who, whole_season(request.who), pk=pk))
    sheet = DeadlineSheet(season)
    context = {"title": sheet.title, "sheet": sheet, **frame(request)}
    return as_pdf(pdf.document("handouts/deadlines_sheet.html", context), "deadlines.pdf")


@require_safe
def compare_sheet(request, pk):
    """What one student plays, and where, on one page."""
    who = staff_or_404(request.who)
    season = Season(read_or_404(who, compared(who), pk=pk))
    comparison = Comparison(season, list(pieces(who)))
    if not comparison.entries:
        raise Http404("There is no audition ahead, and so nothing to compare.")
    steps = [size for size, most in COMPARED.items() if comparison.drawing.lines <= most]
    context = {"title": comparison.title, **frame(request)}
    content = pdf.sheets("handouts/compare_sheet.html", [comparison], steps, **context)
    return as_pdf(content, "music.pdf")


@require_safe
def week_sheet(request, on):
    """The studio's week on one page, or two if everybody plays; `on`: any day of it."""
    who = staff_or_404(request.who)
    page = WeekPage(Book(who), on)
    context = {"title": page.week.title, **frame(request)}
    readable = pdf.STEPS[:3]
    content = pdf.sheets("handouts/week_sheet.html", [page], readable, **context)
    return as_pdf(content, f"week-{page.week.first.isoformat()}.pdf")


def _part_sheet(request, **lookup):
    season = Season(read_or_404(request.who, parts(request.who), **lookup))
    part = Part(season)
    drawing = part.drawing(*DRAWING)
    practice = PracticePage(Practice(season))
    context = {"title": part.title, "part": part, "drawing": drawing, "practice": practice}
    context |= frame(request)
    return as_pdf(pdf.document("handouts/part_sheet.html", context), "part.pdf")


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
