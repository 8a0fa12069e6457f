"""Two people at the same thing: the second is shown both versions, and nothing is overwritten."""

from datetime import date
from zoneinfo import ZoneInfo

import pytest
from django.test import Client
from django.urls import resolve, reverse
from django.utils import timezone

from studio.accounts.models import Change
from studio.entries.hearings.forms import HearingForm
from studio.entries.models import LessonCheck
from studio.institutions.models import OfferedDate
from studio.requirements.forms import PieceForm
from studio.requirements.models import Piece
from tests.factories import HearingFactory, OfferedDateFactory, PieceFactory, full_entry
from tests.pages import Offers, form_of
from tests.routes import ROUTES, make_rows

pytestmark = pytest.mark.django_db


@pytest.fixture
def theo(people):
    client = Client()
    client.force_login(people.theo.user)
    return client


@pytest.fixture
def piece(people):
    return PieceFactory(studio=people.studio, work="Sonata", book="Blue", hours=10, target_tempo=96)


def edit(row, name):
    return reverse(name, args=[row.pk])


def test_the_second_is_shown_both_versions_and_nothing_is_overwritten(as_teacher, theo, piece):
    url = edit(piece, "piece_edit")
    mine, theirs = form_of(as_teacher.get(url), "work"), form_of(theo.get(url), "work")
    assert theo.post(url, theirs | {"hours": "14", "book": "Green"}).status_code == 302
    answer = as_teacher.post(url, mine | {"hours": "12", "period": "Baroque"})
    assert answer.status_code == 422
    piece.refresh_from_db()
    assert (piece.hours, piece.book, piece.period) == (14, "Green", "")
    page = answer.content.decode()
    when = timezone.localtime(Change.objects.latest("pk").at, ZoneInfo(piece.studio.time_zone))
    assert f"Theo Brandt ({when:%-d %B, %H:%M})" in page, "by the studio's own clock"
    for word in ("14", "12", "Green"):
        assert f"<td>{word}" in page
    again = form_of(answer, "work")
    assert again["hours"] == ["12"], "what was typed is kept"
    assert again["book"] == ["Green"], "what was left alone is theirs"
    assert as_teacher.post(url, again).status_code == 302
    piece.refresh_from_db()
    assert (piece.hours, piece.book, piece.period) == (12, "Green", "Baroque")


def test_a_third_version_in_between_is_shown_too(as_teacher, theo, piece):
    url = edit(piece, "piece_edit")
    mine = form_of(as_teacher.get(url), "work")
    theo.post(url, form_of(theo.get(url), "work") | {"hours": "14"})
    again = form_of(as_teacher.post(url, mine | {"hours": "12"}), "work")
    theo.post(url, form_of(theo.get(url), "work") | {"hours": "15"})
    assert as_teacher.post(url, again).status_code == 422
    assert Piece.objects.get(pk=piece.pk).hours == 15


def test_one_alone_never_hears_of_it(as_teacher, piece):
    url = edit(piece, "piece_edit")
    form = form_of(as_teacher.get(url), "work")
    for hours in ("12", "13"):
        assert as_teacher.post(url, form | {"hours": hours}).status_code in {302, 422}
        form = form_of(as_teacher.get(url), "work")
    assert Piece.objects.get(pk=piece.pk).hours == 13


def test_the_same_word_twice_is_no_clash(as_teacher, theo, piece):
    url = edit(piece, "piece_edit")
    mine = form_of(as_teacher.get(url), "work")
    theo.post(url, form_of(theo.get(url), "work") | {"hours": "14"})
    assert as_teacher.post(url, mine | {"hours": "14"}).status_code == 302


def test_boxes_and_lists_of_many_clash_too(as_teacher, theo, people):
    entry = full_entry(people.sam_student)
    date = OfferedDateFactory(audition=entry.audition)
    url = edit(date, "date_edit")
    mine, theirs = (form_of(c.get(url), "on") for c in (as_teacher, theo))
    changed = {"full": "on", "instruments": [str(entry.instrument_id)]}
    assert theo.post(url, theirs | changed).status_code == 302
    answer = as_teacher.post(url, mine | {"notes": "Bring a stand"})
    assert answer.status_code == 422
    again = form_of(answer, "on")
    assert again["full"] == ["on"] and again["instruments"] == [str(entry.instrument_id)]
    assert as_teacher.post(url, again).status_code == 302
    date = OfferedDate.objects.get(pk=date.pk)
    assert date.full and date.instruments.count() == 1 and date.notes == "Bring a stand"


def test_two_in_one_lesson_do_not_blot_each_other_out(as_teacher, theo, people):
    entry = full_entry(people.sam_student)
    piece = entry.assignments.first().piece
    url = reverse("lesson", args=[people.sam_student.pk])
    tempo, note = f"piece{piece.pk}-tempo", f"piece{piece.pk}-note"
    mine, theirs = (form_of(c.get(url), tempo) for c in (as_teacher, theo))
    theo.post(url, theirs | {tempo: "88"})
    answer = as_teacher.post(url, mine | {note: "Breathe"})
    assert answer.status_code == 422
    today = LessonCheck.objects.get(piece=piece, source="teacher", on=people.studio.today)
    assert (today.tempo, today.note) == (88, "")
    again = form_of(answer, tempo)
    assert again[tempo] == ["88"] and again[note] == ["Breathe"]
    assert as_teacher.post(url, again).status_code == 302
    today.refresh_from_db()
    assert (today.tempo, today.note) == (88, "Breathe")


@pytest.mark.parametrize(
    ("route", "field", "theirs", "mine"),
    [
        ("studio", "ready_at", "90", "92"),
        ("journey_settings", "rest_minutes", "300", "200"),
        ("day_settings", "wait", "12", "9"),
        ("practice_settings", "rest_days", "4", "3"),
    ],
)
def test_the_studios_settings_are_guarded_too(as_teacher, theo, route, field, theirs, mine):
    url = reverse(route)
    seen = form_of(as_teacher.get(url), field)
    assert theo.post(url, form_of(theo.get(url), field) | {field: theirs}).status_code == 302
    answer = as_teacher.post(url, seen | {field: mine})
    assert answer.status_code == 422 and theirs in answer.content.decode()
    assert form_of(theo.get(url), field)[field] == [theirs]
    again = form_of(answer, field)
    assert again[field] == [mine]
    assert as_teacher.post(url, again).status_code == 302
    assert form_of(theo.get(url), field)[field] == [mine]


# Forms that carry nothing along, because nobody loses anything by them: they add a row, or say one
# word about it, which the page shows and takes back.
PLAIN = {
    "assign": "adds a piece",
    "hearings": "adds one",
    "invitation": "takes a seat",
    "people": "adds a seat",
    "plan_entry": "one tick",
    "practice_day": "minutes of one day",
    "practice_log": "minutes of one day",
    "requirement_judge": "one word",
    "requirement_set_copy": "adds a set",
    "requirement_sets_roll": "adds sets",
    "workbook_check": "shows what would be changed before anything is",
}


def test_every_other_form_of_a_row_carries_what_stands_there(as_teacher, company):
    rows = make_rows(company)
    OfferedDateFactory(audition_id=rows["audition"])
    seen, plain = set(), set()
    for name, route in ROUTES.items():
        if "owner" not in route.get or name.startswith(("account", "mfa")):
            continue
        url = reverse(name, args=route.args(rows))
        page = as_teacher.get(url)
        if not page["Content-Type"].startswith("text/html"):
            continue
        for form in Offers(page.content.decode(), url).forms:
            act = resolve(form.where).url_name
            if form.asked and not act.endswith("_add"):
                carries = any("initial-" in field for field in form.fields)
                (seen if carries else plain).add(act)
    assert plain == set(PLAIN)
    assert len(seen) > 30
    assert not seen & plain


def test_what_was_written_to_something_removed_is_given_back(as_teacher, piece):
    url = edit(piece, "piece_edit")
    form = form_of(as_teacher.get(url), "work")
    piece.delete()
    answer = as_teacher.post(url, form | {"notes": "Breathe before <b>the</b> high F"})
    page = answer.content.decode()
    assert answer.status_code == 404
    assert "Nothing is saved." in page and reverse("bin") in page
    assert "Breathe before &lt;b&gt;the&lt;/b&gt; high F" in page
    assert "Nothing is saved." not in as_teacher.get(url).content.decode()


def test_a_second_click_that_is_as_quick_as_the_first_is_told(as_teacher, people, monkeypatch):
    entry = full_entry(people.sam_student)
    save = HearingForm.save

    def after_another(form):
        HearingFactory(entry=entry, kind="mock", on=date(2026, 11, 2), heard_by="")
        return save(form)

    monkeypatch.setattr(HearingForm, "save", after_another)
    body = {"on": "2026-11-02", "kind": "mock", "note": "Breathe earlier"}
    answer = as_teacher.post(reverse("hearings", args=[entry.pk]), body)
    assert answer.status_code == 409
    assert "Breathe earlier" in answer.content.decode()
    assert entry.hearings.count() == 1


@pytest.mark.parametrize("done", ["changed", "removed"])
def test_whoever_is_later_by_a_moment_overwrites_nothing(as_teacher, piece, monkeypatch, done):
    url = edit(piece, "piece_edit")
    form = form_of(as_teacher.get(url), "work") | {"notes": "Breathe earlier"}
    is_valid = PieceForm.is_valid

    def then_somebody_else(form):
        valid = is_valid(form)
        rows = Piece.objects.filter(pk=piece.pk)
        rows.update(work="Concerto") if done == "changed" else rows.delete()
        return valid

    monkeypatch.setattr(PieceForm, "is_valid", then_somebody_else)
    answer = as_teacher.post(url, form)
    assert answer.status_code == 409
    assert "Breathe earlier" in answer.content.decode()
    left = ["Concerto"] if done == "changed" else []
    assert list(Piece.objects.values_list("work", flat=True)) == left
