"""How ready one student is, on paper: the auditions, and a picture for each piece that is short."""

from django.views.decorators.http import require_safe

from studio.accounts.access import read_or_404
from studio.entries.bridge import Season
from studio.entries.queries import whole_season
from studio.entries.readiness_page import Readiness
from studio.handouts import pdf
from studio.handouts.views import as_pdf, frame


@require_safe
def readiness_sheet(request, pk):
    """Two pictures beside each other; the student may print their own."""
    season = Season(read_or_404(request.who, whole_season(request.who), pk=pk))
    page = Readiness(season)
    context = {"title": page.title, "page": page, **frame(request)}
    return as_pdf(pdf.document("handouts/readiness_sheet.html", context), "readiness.pdf")
