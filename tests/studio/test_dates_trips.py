"""The trips that chosen dates make: on the part, in the score, on paper; what journeys weigh."""

import io
from datetime import date, time

import pytest
import time_machine
from django.core.cache import caches
from django.urls import reverse
from pypdf import PdfReader

from planner.dates.model import Settings, Weights
from studio.accounts import journeys
from studio.entries.bridge import Season
from studio.entries.models import Entry
from studio.entries.queries import parts
from studio.entries.trips import Trips
from studio.score.contexts import ScorePage
from tests.factories import AuditionDayFactory, AuditionFactory, EntryFactory, OfferedDateFactory

LONG_NAME = "Nguyễn Thị Ánh Dương Řeháková-Žižkovská"
SIZES = {"letter": (612, 792), "a4": (595.2756, 841.8898)}


@pytest.fixture(autouse=True)
def november():
    with time_machine.travel("2026-11-25 18:00Z", tick=True):
        yield
    caches["sheets"].clear()


def chosen(student, name, point, on, state="confirmed"):
    """Return an entry with that date."""
    held = AuditionFactory(
        institution__studio=student.studio,
        institution__name=name,
        institution__latitude=point[0],
        institution__longitude=point[1],
        institution__time_zone="America/New_York",
    )
    day = OfferedDateFactory(audition=held, on=on, starts=time(10), ends=time(15))
    return EntryFactory(student=student, audition=held, chosen_date=day, date_state=state)


@pytest.fixture
def two(people):
    """Fairmont on Saturday and Carrow on Sunday, both far away; only Fairmont is confirmed."""
    student = people.sam_student
    return [
        chosen(student, "Fairmont", (41.0, -82.0), date(2027, 2, 6)),
        chosen(student, "Carrow", (41.0, -82.6), date(2027, 2, 7), "asked for"),
    ]


def trips(people):
    return Trips(Season(parts(people.ines).get(pk=people.sam_student.pk)))


def test_dates_that_are_confirmed_or_asked_for_make_a_trip(people, two):
    (line,) = trips(people).lines
    assert line.short == "Trip 5–7 February: Fairmont, Carrow; leave Friday 14:00"
    assert (line.first, line.last) == (date(2027, 2, 5), date(2027, 2, 7))
    assert line.unsure == "Carrow"
    assert line.nights == "2 nights away"


@pytest.mark.parametrize("state", ["open", "ranked"])
def test_a_date_that_is_not_even_asked_for_makes_none(people, two, state):
    Entry.objects.filter(pk=two[1].pk).update(date_state=state)
    (line,) = trips(people).lines
    assert line.stops == ("Fairmont",)


def test_days_away_do_not_hide_a_trip_that_is_settled(people, two):
    people.sam_student.days_away.create(first=date(2027, 2, 6), last=date(2027, 2, 6))
    assert len(trips(people).lines) == 1


def test_a_day_with_a_call_says_itself_when_to_leave(people):
    entry = chosen(people.sam_student, "Norwood", (41.9, -87.9), date(2027, 3, 6))
    (line,) = trips(people).lines
    assert "leave Saturday" in line.short
    AuditionDayFactory(entry=entry, call=time(11, 40))
    (line,) = trips(people).lines
    assert line.short == "Trip 6 March: Norwood"
    assert line.hops[0].event == "audition Saturday 6 March, from 11:40 to 15:00"


def test_two_dates_that_cannot_both_be_reached_are_said(people):
    for name, point in (("East", (41.0, -72.0)), ("West", (41.0, -112.0))):
        chosen(people.sam_student, name, point, date(2027, 2, 6))
    found = trips(people)
    assert found.lines == ()
    assert "cannot all be reached" in found.trouble


def test_a_home_that_is_not_known_gives_no_hour(people, two):
    people.sam_student.latitude = people.sam_student.longitude = None
    people.sam_student.save()
    assert all("leave" not in line.short for line in trips(people).lines)


def test_the_part_shows_them_to_the_student_and_to_staff(as_student, client, people, two):
    own = as_student.get(reverse("part")).content.decode()
    assert "Trip 5–7 February: Fairmont, Carrow; leave Friday 14:00" in own
    assert "not confirmed yet: Carrow" in own
    assert reverse("trips_sheet", args=[people.sam_student.pk]) in own
    client.force_login(people.ines.user)
    page = client.get(reverse("student", args=[people.sam_student.pk])).content.decode()
    assert "Trip 5–7 February" in page
    assert reverse("dates_plan", args=[people.sam_student.pk]) in page


def test_the_score_draws_a_bar_for_each_journey_of_more_than_a_day(people, two):
    chosen(people.sam_student, "Norwood", (41.9, -87.9), date(2027, 3, 6))
    page = ScorePage(people.ines, {})
    row = next(row for row in page.score.rows if row.player.key == people.sam_student.pk)
    ((x, breadth, words),) = row.trips
    assert "Fairmont, Carrow" in words
    assert breadth == pytest.approx(3 * page.score.span.per_day, abs=0.1)
    assert page.score.left <= x < page.score.right


def test_the_entry_leads_to_the_dates(as_teacher, people, two):
    page = as_teacher.get(reverse("entry", args=[two[0].pk])).content.decode()
    assert f"{reverse('dates_plan', args=[people.sam_student.pk])}#audition-{two[0].pk}" in page


# On paper


def sheet(client, people, **asked):
    response = client.get(reverse("trips_sheet", args=[people.sam_student.pk]), asked)
    assert response["Content-Type"] == "application/pdf"
    return PdfReader(io.BytesIO(response.content))


def words(reader):
    return " ".join(" ".join(page.extract_text().split()) for page in reader.pages)


@pytest.mark.parametrize("paper", SIZES)
def test_trips_are_printed_with_what_is_not_confirmed_and_boxes(as_student, people, two, paper):
    people.sam_student.name = LONG_NAME
    people.sam_student.save()
    reader = sheet(as_student, people, paper=paper)
    (page,) = reader.pages
    size = float(page.mediabox.width), float(page.mediabox.height)
    assert size == pytest.approx(SIZES[paper], abs=0.1)
    text = words(reader)
    assert "14:00 CST" in text
    assert "Carrow: Sunday 7 February is not confirmed yet" in text
    for box in ("Travel booked", "Room booked, 2 nights", "Fairmont confirmed"):
        assert box in text
    assert "Book no travel before the institution confirms" in text


def test_each_trip_can_have_its_own_page(as_student, people, two):
    chosen(people.sam_student, "Norwood", (41.9, -87.9), date(2027, 3, 6))
    assert len(sheet(as_student, people).pages) == 1
    assert len(sheet(as_student, people, pages="each").pages) == 2


def test_auditions_without_a_date_are_told_of(as_student, people, two):
    Entry.objects.update(date_state="ranked")
    text = words(sheet(as_student, people))
    assert "No date is confirmed or asked for yet" in text
    assert "Fairmont: Ranked" in text or "Fairmont: ranked" in text


# What journeys weigh


def usual(form):
    """Return what the form shows, as a browser would post it."""
    posted = {}
    for field in form:
        value = field.value()
        if field.name == "school_weekdays":
            posted[field.name] = [str(day) for day in value]
        elif field.name == "fly":
            posted |= {"fly": "on"} if value else {}
        else:
            posted[field.name] = field.as_widget and str(value)
    return posted


def weigh(client, people, **changed):
    form = journeys.JourneysForm(studio=people.studio)
    return client.post(reverse("journey_settings"), usual(form) | changed)


def test_only_what_differs_from_the_engines_own_figures_is_kept(as_teacher, people):
    assert weigh(as_teacher, people).status_code == 302
    people.studio.refresh_from_db()
    assert people.studio.journeys == {}
    weigh(as_teacher, people, hour="20", leave_from="05:30", school_weekdays=["0", "1"])
    people.studio.refresh_from_db()
    assert people.studio.journeys == {
        "weights": {"hour": 20},
        "settings": {"leave_from": "05:30"},
        "school_weekdays": [0, 1],
    }
    assert journeys.weights(people.studio) == Weights(hour=20)
    assert journeys.settings(people.studio) == Settings(leave_from=time(5, 30))
    assert journeys.school_weekdays(people.studio) == (0, 1)


def test_not_flying_is_kept_and_what_is_emptied_is_the_programs_again(as_teacher, people):
    posted = usual(journeys.JourneysForm(studio=people.studio))
    del posted["fly"]
    as_teacher.post(reverse("journey_settings"), posted | {"hour": "30"})
    people.studio.refresh_from_db()
    assert people.studio.journeys == {"weights": {"hour": 30}, "settings": {"fly": False}}
    weigh(as_teacher, people, hour="")
    people.studio.refresh_from_db()
    assert people.studio.journeys == {"settings": {"fly": False}}


@pytest.mark.parametrize(
    ("name", "value"),
    [("hour", "99999"), ("hour", "-1"), ("leave_from", "23:30"), ("school_weekdays", ["9"])],
)
def test_figures_out_of_range_are_refused(as_teacher, people, name, value):
    page = weigh(as_teacher, people, **{name: value})
    assert page.status_code == 422
    people.studio.refresh_from_db()
    assert people.studio.journeys == {}


def test_the_engine_takes_every_figure_the_form_takes(people, two):
    """The form's own limits lie within the engine's, so that no setting can break a page."""
    form = journeys.JourneysForm(studio=people.studio)
    for end in ("min_value", "max_value"):
        posted = usual(form) | {
            name: str(getattr(field, end))
            for name, field in form.fields.items()
            if getattr(field, end, None) is not None
        }
        bound = journeys.JourneysForm(posted, studio=people.studio)
        assert bound.is_valid(), bound.errors
        bound.save()
        people.sam_student.refresh_from_db()
        found = trips(people)
        assert found.lines or "planned:" not in found.trouble
