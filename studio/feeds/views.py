"""Calendars at unguessable addresses, and the pages that show and renew the addresses."""

from dataclasses import dataclass

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.cache import cache_control, never_cache
from django.views.decorators.http import condition, require_POST, require_safe

from studio.accounts.access import change_or_404, read_or_404, teacher_or_404
from studio.accounts.models import feed_token
from studio.accounts.pages import next_url
from studio.feeds.calendars import write
from studio.feeds.sources import student_source, studio_source, version
from studio.students.models import Student

NONE_HERE = "There is no calendar at this address. It may have been renewed: ask for the new one.\n"


def site(request):
    """Return the scheme and host the site is reached by."""
    return f"{request.scheme}://{request.get_host()}"


def student_etag(request, token):
    """Identify a student's calendar without building it; keep the source for the view."""
    return _etag(request, student_source(token))


def studio_etag(request, token):
    """Identify a studio's calendar without building it; keep the source for the view."""
    return _etag(request, studio_source(token))


def _etag(request, source):
    request.source = source
    return source and f'"{version(source, site(request))}"'


@login_not_required
@require_safe
@cache_control(private=True, no_cache=True)
@condition(etag_func=student_etag)
def student_feed(request, token):
    """One student's deadlines and days, for their calendar program."""
    return _calendar(request, "part.ics")


@login_not_required
@require_safe
@cache_control(private=True, no_cache=True)
@condition(etag_func=studio_etag)
def studio_feed_calendar(request, token):
    """A whole studio's deadlines and days, for its teachers' calendar programs."""
    return _calendar(request, "score.ics")


def _calendar(request, filename):
    if request.source is None:
        return HttpResponse(NONE_HERE, status=404, content_type="text/plain; charset=utf-8")
    body = write(request.source, site(request))
    response = HttpResponse(body, content_type="text/calendar; charset=utf-8")
    response["Content-Disposition"] = f'inline; filename="{filename}"'
    response["X-Robots-Tag"] = "noindex"
    return response


@dataclass(frozen=True)
class Address:
    """A calendar's address as its page shows it: what is in it, and how it is renewed."""

    title: str
    intro: str
    url: str
    renew_url: str | None = None  # None: whoever asks may not renew it

    @property
    def open_url(self):
        """The same address under the scheme that calendar programs answer to."""
        return "webcal:" + self.url.partition(":")[2]


def _address_page(request, address):
    context = {"address": address, "title": address.title}
    return render(request, "feeds/address.html", context)


@never_cache
def studio_feed(request):
    """The address of the studio's calendar; teachers only, like its settings."""
    who = teacher_or_404(request.who)
    path = reverse("studio_feed_calendar", args=[who.studio.feed_token])
    address = Address(
        title="Calendar of the studio",
        intro="All students’ deadlines and audition days, with what each student is called.",
        url=request.build_absolute_uri(path),
        renew_url=reverse("studio_feed_renew"),
    )
    return _address_page(request, address)


@never_cache
def student_feed_address(request, pk):
    """The address of one student's calendar, for their teacher to hand on."""
    student = change_or_404(request.who, Student.objects.select_related("studio"), pk=pk)
    return _student_address(request, student, reverse("student_feed_renew", args=[pk]))


@never_cache
def part_feed(request):
    """The address of the asker's own calendar; their teacher renews it."""
    return _student_address(request, read_or_404(request.who, Student, membership=request.who))


def _student_address(request, student, renew_url=None):
    path = reverse("student_feed", args=[student.feed_token])
    address = Address(
        title=f"Calendar of {student.called}",
        intro="Deadlines and audition days of one part, and nothing of anybody else.",
        url=request.build_absolute_uri(path),
        renew_url=renew_url,
    )
    return _address_page(request, address)


@require_POST
def studio_feed_renew(request):
    """Give the studio's calendar a new address; the old one is gone at once."""
    teacher_or_404(request.who).studio.renew_feed()
    return _renewed(request, "studio_feed")


@require_POST
def student_feed_renew(request, pk):
    """Give a student's calendar a new address."""
    student = change_or_404(request.who, Student, pk=pk)
    student.feed_token = feed_token()
    student.save(update_fields=["feed_token"])
    return _renewed(request, reverse("student_feed_address", args=[pk]))


def _renewed(request, default):
    messages.success(request, "The address is new. The old one shows nothing any more.")
    return redirect(next_url(request, default))
