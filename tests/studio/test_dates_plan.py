"""The dates of a student: a small studio whose cheapest plan is known by hand.

Fairmont and Carrow lie an hour from each other and five from home (own figures would say so; here
the map does). Each offers a Saturday of its own and one weekend together: both in one trip costs
least. Norwood is near home.
"""

from dataclasses import replace
from datetime import date, time, timedelta
from types import SimpleNamespace

import pytest
import time_machine
from django.urls import reverse

from planner.dates import answer
from planner.dates.model import HOME
from planner.travel import Point
from studio.accounts.models import Change
from studio.answers import _outside, forget
from studio.entries.bridge import Season
from studio.entries.dates import QUICK, Dating
from studio.entries.dates_accept import accept
from studio.entries.dates_page import DatesPage
from studio.entries.dates_queries import concerts, dated, offered
from studio.entries.models import DateWish, Entry
from studio.entries.trips import Wording
from studio.institutions.models import Audition, OfferedDate
from studio.students.models import Student
from tests.factories import (
    AssignmentFactory,
    AuditionDayFactory,
    AuditionFactory,
    DateWishFactory,
    DayAwayFactory,
    EntryFactory,
    InstrumentFactory,
    LessonCheckFactory,
    OfferedDateFactory,
    StudioDayFactory,
)

TODAY = date(2026, 11, 25)
FAR = {"fairmont": (41.0, -82.0), "carrow": (41.0, -82.6)}


@pytest.fixture(autouse=True)
def today():
    """The auditions are ahead."""
    with time_machine.travel("2026-11-25 18:00Z", tick=True):
        yield


def audition(student, name, point, days, **fields):
    """Return an entry without a date, for an audition that offers these days; and the dates."""
    held = AuditionFactory(
        institution__studio=student.studio,
        institution__name=name,
        institution__latitude=point[0],
        institution__longitude=point[1],
        institution__time_zone="America/New_York",
        **fields,
    )
    dates = [
        OfferedDateFactory(audition=held, on=day, starts=time(10), ends=time(15)) for day in days
    ]
    entry = EntryFactory(student=student, audition=held, chosen_date=None, date_state="open")
    return entry, dates


@pytest.fixture
def sam(people):
    """Sam in Chicago; Fairmont and Carrow far away and close together, Norwood near."""
    student = people.sam_student
    made = SimpleNamespace(student=student, people=people)
    made.fairmont, made.fairmont_dates = audition(
        student,
        "Fairmont",
        FAR["fairmont"],
        (date(2027, 1, 30), date(2027, 2, 6)),
        date_choice="chosen",
    )
    made.carrow, made.carrow_dates = audition(
        student,
        "Carrow",
        FAR["carrow"],
        (date(2027, 2, 7), date(2027, 2, 20)),
        date_choice="ranked",
    )
    made.norwood, made.norwood_dates = audition(
        student, "Norwood", (41.9, -87.9), (date(2027, 3, 6), date(2027, 3, 12))
    )
    return made


def dating(sam, who=None):
    """Return Sam's Dating as the owner reads it."""
    who = who or sam.people.ines
    student = dated(who).get(pk=sam.student.pk)
    return Dating(Season(student), list(offered(student)), list(concerts(student)))


def page_of(sam):
    return DatesPage(dating(sam), sam.people.ines)


def shown(client, sam):
    response = client.get(reverse("dates_plan", args=[sam.student.pk]))
    assert response.status_code == 200
    return response.content.decode().replace("&#x27;", "'")


def planned(sam):
    """Return the day planned for each entry, by the institution's name."""
    return {
        turn.entry.audition.institution.name: turn.planned.date.on for turn in dating(sam).turns
    }


def wish(client, entry, offered_date, word):
    url = reverse("date_wish", args=[entry.pk])
    return client.post(url, {"date": offered_date.pk, "word": word}, follow=True)


def take_over(client, sam, **scope):
    url = reverse("dates_accept", args=[sam.student.pk])
    return client.post(url, {"plan": dating(sam).digest} | scope, follow=True)


def state(entry):
    """Return the entry's date and how sure it is, as stored."""
    row = Entry.objects.select_related("chosen_date").get(pk=entry.pk)
    return row.on, row.date_state


JOINED = {
    "Fairmont": date(2027, 2, 6),
    "Carrow": date(2027, 2, 7),
    "Norwood": date(2027, 3, 6),  # a Saturday: the other is a school day
}


# What the engine is asked


def test_the_problem_holds_home_places_and_the_dates_that_can_be_had(sam):
    problem = dating(sam).problem
    assert (problem.today, problem.home.zone) == (TODAY, "America/Chicago")
    assert problem.home.point == Point(41.88, -87.63)
    fairmont = problem.auditions[1]
    assert (fairmont.name, fairmont.place.zone) == ("Fairmont", "America/New_York")
    assert [offer.on for offer in fairmont.offers] == [date(2027, 1, 30), date(2027, 2, 6)]
    assert (fairmont.offers[0].starts, fairmont.offers[0].ends) == (time(10), time(15))
    assert fairmont.fixed is None


def test_dates_that_are_full_gone_by_or_for_others_are_not_asked_about(sam):
    trumpet = InstrumentFactory(studio=sam.people.studio, name="Trumpet")
    held = sam.norwood.audition
    OfferedDateFactory(audition=held, on=date(2026, 11, 24))
    OfferedDateFactory(audition=held, on=date(2027, 3, 13), full=True)
    OfferedDateFactory(audition=held, on=date(2027, 3, 14)).instruments.add(trumpet)
    OfferedDateFactory(audition=held, on=date(2027, 3, 20)).instruments.add(
        trumpet, sam.student.instrument
    )
    found = dating(sam)
    assert [each.date.on.day for each in found.open(sam.norwood)] == [6, 12, 20]
    assert {each.why for each in found.offers[sam.norwood.pk]} == {
        "",
        "gone by",
        "full",
        "not for Horn",
    }


def test_a_confirmed_date_is_fixed_even_if_it_is_full_by_now(sam):
    OfferedDate.objects.filter(pk=sam.fairmont_dates[0].pk).update(full=True)
    Entry.objects.filter(pk=sam.fairmont.pk).update(
        chosen_date=sam.fairmont_dates[0], date_state="confirmed"
    )
    fairmont = next(a for a in dating(sam).problem.auditions if a.name == "Fairmont")
    assert fairmont.fixed == f"{sam.fairmont.pk}-{sam.fairmont_dates[0].pk}"


def test_an_assigned_date_is_fixed_and_one_that_is_only_asked_for_is_liked_better(sam):
    Entry.objects.filter(pk=sam.fairmont.pk).update(
        chosen_date=sam.fairmont_dates[0], date_state="asked for"
    )
    Entry.objects.filter(pk=sam.carrow.pk).update(
        chosen_date=sam.carrow_dates[1], date_state="asked for"
    )
    Audition.objects.filter(pk=sam.carrow.audition_id).update(date_choice="assigned")
    problem = dating(sam).problem
    assert [bool(each.fixed) for each in problem.auditions] == [False, True, False]
    assert set(problem.preferred) == {
        f"{sam.fairmont.pk}-{sam.fairmont_dates[0].pk}",
        f"{sam.carrow.pk}-{sam.carrow_dates[1].pk}",
    }


def test_recorded_over_decided_and_dateless_auditions_have_no_journey(sam):
    audition(sam.student, "Recorded", (41.0, -82.0), [date(2027, 2, 1)], format="recorded")
    audition(sam.student, "Silent", (41.0, -82.0), [])
    EntryFactory(student=sam.student, chosen_date__on=date(2026, 11, 24))
    decided, _ = audition(sam.student, "Decided", (41.0, -82.0), [date(2027, 2, 1)])
    Entry.objects.filter(pk=decided.pk).update(result=Entry.Result.OFFERED)
    assert {each.name for each in dating(sam).problem.auditions} == {
        "Carrow",
        "Fairmont",
        "Norwood",
    }


def test_wishes_ranks_and_own_figures_reach_the_engine(sam):
    first, second = sam.fairmont_dates
    DateWishFactory(entry=sam.fairmont, date=first, word="leave", rank=2)
    DateWishFactory(entry=sam.fairmont, date=second, word="like", rank=1)
    DateWishFactory(entry=sam.carrow, date=sam.carrow_dates[1], word="keep", rank=None)
    Entry.objects.filter(pk=sam.carrow.pk).update(journey_minutes=300, journey_cost=90)
    Entry.objects.filter(pk=sam.norwood.pk).update(chosen_date=sam.norwood_dates[0])
    AuditionDayFactory(entry=sam.norwood, travel_minutes=45)
    problem = dating(sam).problem
    assert problem.banned == (f"{sam.fairmont.pk}-{first.pk}",)
    assert problem.pinned == (f"{sam.carrow.pk}-{sam.carrow_dates[1].pk}",)
    assert f"{sam.fairmont.pk}-{second.pk}" in problem.preferred
    ranks = {o.key: o.rank for a in problem.auditions for o in a.offers if o.rank}
    assert ranks == {
        f"{sam.fairmont.pk}-{first.pk}": 2,
        f"{sam.fairmont.pk}-{second.pk}": 1,
    }
    own = {each.end: (each.start, each.minutes, each.money) for each in problem.own}
    assert own == {
        str(sam.carrow.pk): (HOME, 300, 90),
        str(sam.norwood.pk): (HOME, 45, None),
    }


def test_two_dates_wanted_in_any_case_do_not_break_the_question(sam):
    for each in sam.fairmont_dates:
        DateWishFactory(entry=sam.fairmont, date=each, word="keep")
    found = dating(sam)
    assert len(found.problem.pinned) == 1
    assert found.answer.plan


def test_days_away_exams_and_concerts_close_days(sam):
    DayAwayFactory(student=sam.student, first=date(2027, 1, 5), last=date(2027, 1, 8), kind="exam")
    mia = sam.people.mia_student
    day = {"studio": sam.people.studio, "kind": "concert"}
    StudioDayFactory(name="For all", first=date(2027, 2, 1), last=date(2027, 2, 1), **day)
    theirs = StudioDayFactory(name="Mia's", first=date(2027, 2, 2), last=date(2027, 2, 2), **day)
    theirs.students.add(mia)
    own = StudioDayFactory(name="Both", first=date(2027, 2, 3), last=date(2027, 2, 3), **day)
    own.students.add(mia, sam.student)
    off = {**day, "kind": "day off"}
    StudioDayFactory(name="Off", first=date(2027, 2, 4), last=date(2027, 2, 4), **off)
    DayAwayFactory(student=sam.student, first=date(2027, 4, 1), last=date(2027, 4, 2))
    assert [(each.first, each.name) for each in dating(sam).closed] == [
        (date(2027, 1, 5), "Family (5 January to 8 January)"),
        (date(2027, 2, 1), "For all"),
        (date(2027, 2, 3), "Both"),
        (date(2027, 4, 1), "Family (1 April to 2 April)"),
    ]


def test_school_is_the_students_own_with_the_holidays_of_the_country(sam):
    assert dating(sam).problem.school_weekdays == (0, 1, 2, 3, 4)
    assert dating(sam).problem.school_off == ()
    sam.people.studio.country = "US"
    sam.people.studio.save()
    assert date(2027, 1, 18) in dating(sam).problem.school_off  # Martin Luther King day, a Monday
    Student.objects.filter(pk=sam.student.pk).update(at_school=False)
    assert dating(sam).problem.school_weekdays == ()


def test_a_school_without_place_and_zone_has_its_universitys(sam):
    school = sam.norwood.audition.institution
    school.part_of = sam.fairmont.audition.institution
    school.latitude = school.longitude = None
    school.time_zone = ""
    school.save()
    place = next(a for a in dating(sam).problem.auditions if a.name == "Norwood").place
    assert (place.point, place.zone) == (Point(41.0, -82.0), "America/New_York")


def test_each_entry_has_the_dates_of_its_own_audition_and_instrument_once(sam):
    """Another student goes there too, and Sam on a second instrument."""
    trumpet = InstrumentFactory(studio=sam.people.studio, name="Trumpet")
    held = sam.norwood.audition
    EntryFactory(student=sam.people.mia_student, audition=held, chosen_date=None)
    second = EntryFactory(student=sam.student, audition=held, instrument=trumpet, chosen_date=None)
    sam.norwood_dates[1].instruments.add(trumpet)
    found = dating(sam)
    assert [each.date.on.day for each in found.offers[sam.norwood.pk]] == [6, 12]
    assert [each.why for each in found.offers[sam.norwood.pk]] == ["", "not for Horn"]
    assert [each.why for each in found.offers[second.pk]] == ["", ""]
    assert {found.name(sam.norwood), found.name(second)} == {"Norwood, Horn", "Norwood, Trumpet"}


def test_the_day_on_which_the_music_is_expected_to_be_ready_reaches_engine_and_page(sam):
    piece = AssignmentFactory(entry=sam.fairmont).piece
    for week in range(4):
        on = date(2026, 11, 1) + timedelta(weeks=week)
        LessonCheckFactory(student=sam.student, piece=piece, on=on, tempo=60 + week)
    found = dating(sam)
    ready = found.season.audition_answers[sam.fairmont.pk].ready_on
    fairmont = next(each for each in found.problem.auditions if each.name == "Fairmont")
    assert ready > date(2027, 2, 6)
    assert fairmont.ready_on == ready
    line = next(line for line in page_of(sam).auditions if line.name == "Fairmont")
    assert "before its music is expected to be ready" in line.offers[0].notes[0]


# The plan


def test_the_plan_joins_what_is_far_and_close_together(sam):
    found = dating(sam)
    assert planned(sam) == JOINED
    assert found.answer.proven
    assert [len(trip.auditions) for trip in found.answer.plan.trips] == [2, 1]


def test_the_page_says_the_plan_its_trips_and_what_a_date_costs(as_teacher, sam):
    text, page = shown(as_teacher, sam), page_of(sam)
    assert page.sentence in text and "in money" not in text
    assert "Proven" in page.answer.sentence
    assert page.points in text
    assert [line.title for line in page.trips] == ["Fairmont and Carrow", "Norwood"]
    assert "joined, it saves" in page.trips[0].asks
    lines = {line.name: line for line in page.auditions}
    other = lines["Fairmont"].offers[0]
    assert other.mark == "possible"
    assert "points more" in other.price
    assert other.price in text
    assert lines["Fairmont"].offers[1].mark == "in the plan"
    assert page.second and page.second in text
    assert "verify each date with the institution itself" in text
    assert "not financial advice" in text


def test_times_are_told_by_the_clocks_of_both_ends(sam):
    out = page_of(sam).trips[0].hops[0]
    assert (out.start, out.end) == ("home", "Fairmont")
    assert out.leave.endswith(" CST")
    assert out.arrive.endswith(" EST")
    assert out.event == "audition Saturday 6 February, from 10:00 to 15:00"


def test_a_place_that_is_not_known_gives_no_times(as_teacher, sam):
    sam.carrow.audition.institution.latitude = sam.carrow.audition.institution.longitude = None
    sam.carrow.audition.institution.save()
    hops = [
        hop for line in page_of(sam).trips for hop in line.hops if "Carrow" in (hop.start, hop.end)
    ]
    assert hops
    assert not any(hop.known for hop in hops)
    text = shown(as_teacher, sam)
    assert "how long is not known" in text
    assert "Not on the map, as it is not known where: Carrow." in text


def test_an_audition_without_dates_leads_to_where_they_are_written_down(as_teacher, sam):
    entry, _ = audition(sam.student, "Silent", (41.0, -82.0), [])
    text = shown(as_teacher, sam)
    assert "No dates are written down yet." in text
    assert entry.audition.get_absolute_url() in text


def test_a_banned_date_is_not_taken_and_the_word_is_taken_back(as_teacher, sam):
    page = wish(as_teacher, sam.fairmont, sam.fairmont_dates[1], "leave")
    assert "Fairmont, 6 February: not this one." in page.content.decode()
    assert planned(sam)["Fairmont"] == date(2027, 1, 30)
    wish(as_teacher, sam.fairmont, sam.fairmont_dates[1], "")
    assert not DateWish.objects.exists()
    assert planned(sam) == JOINED


def test_only_one_date_of_an_audition_is_wanted_in_any_case(as_teacher, sam):
    for each in sam.fairmont_dates:
        wish(as_teacher, sam.fairmont, each, "keep")
    assert DateWish.objects.get().date == sam.fairmont_dates[1]


def test_clearing_a_wish_leaves_the_rank(as_teacher, sam):
    DateWishFactory(entry=sam.fairmont, date=sam.fairmont_dates[0], word="like", rank=3)
    wish(as_teacher, sam.fairmont, sam.fairmont_dates[0], "")
    kept = DateWish.objects.get()
    assert (kept.word, kept.rank) == ("", 3)


def test_a_date_of_another_audition_is_refused(as_teacher, sam):
    page = wish(as_teacher, sam.fairmont, sam.carrow_dates[0], "keep")
    assert "Nothing was saved" in page.content.decode()
    page = wish(as_teacher, sam.fairmont, sam.fairmont_dates[0], "never")
    assert "Nothing was saved" in page.content.decode()
    assert not DateWish.objects.exists()


# The student's order


def ranks(client, entry, *pairs):
    """Post places in the order as the page's form does."""
    posted = {f"ranks-{entry.pk}-rank-{each.pk}": rank for each, rank in pairs}
    return client.post(reverse("date_ranks", args=[entry.pk]), posted, follow=True)


def test_two_who_rank_the_same_dates_are_told(as_teacher, sam):
    first, second = sam.norwood_dates[:2]
    url, prefix = reverse("date_ranks", args=[sam.norwood.pk]), f"ranks-{sam.norwood.pk}-rank-"
    page = as_teacher.get(reverse("dates_plan", args=[sam.student.pk])).content.decode()
    carried = f'<input type="hidden" name="initial-{prefix}{first.pk}" form="ranks-'
    assert carried in page
    seen = {f"initial-{prefix}{each.pk}": "" for each in (first, second)}
    ranks(as_teacher, sam.norwood, (first, "1"), (second, "2"))
    answer = as_teacher.post(url, seen | {f"{prefix}{first.pk}": "2", f"{prefix}{second.pk}": ""})
    assert answer.status_code == 422
    assert "Somebody else changed this while you were writing." in answer.content.decode()
    assert {wish.rank for wish in DateWish.objects.all()} == {1, 2}


def test_no_audition_has_a_key_beyond_all_numbers(as_teacher, sam):
    url = reverse("plan_frontier", args=[sam.student.pk])
    assert as_teacher.post(url, {"auditions": "9" * 5000}).status_code < 500


def test_the_dates_of_an_audition_are_ranked_in_one_form(as_teacher, sam):
    first, second = sam.norwood_dates
    page = ranks(as_teacher, sam.norwood, (first, "2"), (second, "1"))
    assert "Norwood: 2 dates ranked." in page.content.decode()
    assert {wish.date_id: wish.rank for wish in DateWish.objects.all()} == {
        first.pk: 2,
        second.pk: 1,
    }
    ranks(as_teacher, sam.norwood, (first, ""), (second, "1"))
    assert DateWish.objects.get().date == second


@pytest.mark.parametrize(
    ("places", "words"),
    [(("1", "1"), "same place in the order"), (("0", ""), "1 to 60"), (("x", ""), "1 to 60")],
)
def test_an_order_that_makes_no_sense_is_refused_and_stays_on_the_page(
    as_teacher, sam, places, words
):
    page = ranks(as_teacher, sam.norwood, *zip(sam.norwood_dates, places, strict=True))
    assert page.status_code == 422
    assert words in page.content.decode()
    assert f'value="{places[0]}"' in page.content.decode()
    assert not DateWish.objects.exists()


def test_an_order_names_only_dates_of_the_audition(as_teacher, sam):
    ranks(as_teacher, sam.norwood, (sam.carrow_dates[0], "1"))
    assert not DateWish.objects.exists()


# Own figures, and leaving an audition out


def test_own_figures_for_a_journey_are_kept_within_reason(as_teacher, sam):
    url, prefix = reverse("date_journey", args=[sam.carrow.pk]), f"journey-{sam.carrow.pk}"
    as_teacher.post(url, {f"{prefix}-journey_minutes": "280", f"{prefix}-journey_cost": "75"})
    sam.carrow.refresh_from_db()
    assert (sam.carrow.journey_minutes, sam.carrow.journey_cost) == (280, 75)
    refused = as_teacher.post(url, {f"{prefix}-journey_minutes": "30000"})
    assert refused.status_code == 422
    sam.carrow.refresh_from_db()
    assert sam.carrow.journey_minutes == 280


def test_an_audition_is_left_out_and_taken_in_again(as_teacher, sam):
    url = reverse("date_kept", args=[sam.carrow.pk])
    as_teacher.post(url, {})
    assert set(planned(sam)) == {"Fairmont", "Norwood"}
    as_teacher.post(url, {"kept": "on"})
    assert planned(sam) == JOINED
    Entry.objects.update(kept=False)
    assert "No audition is in the plan" in shown(as_teacher, sam)


# Where nothing fits


def test_where_nothing_fits_the_page_says_what_does_not_and_the_ways_out(as_teacher, sam):
    DayAwayFactory(student=sam.student, first=date(2027, 1, 20), last=date(2027, 3, 1))
    page, text = page_of(sam), shown(as_teacher, sam)
    assert page.plan is None
    assert page.answer.conflict
    assert page.answer.sentence in text
    marks = {line.name: [offer.mark for offer in line.offers] for line in page.auditions}
    assert marks["Norwood"] == ["possible", "possible"]  # not its dates stand in the way
    assert marks["Fairmont"] == ["not possible", "not possible"]
    assert page.ways_out
    assert all(way.sentence.replace("&", "&amp;") in text for way, _ in page.ways_out)
    assert "Take over" not in text


# Taking it over


def test_the_whole_plan_is_taken_over_and_taken_back(as_teacher, sam):
    page = take_over(as_teacher, sam)
    assert "Taken over: 3 dates." in page.content.decode()
    assert state(sam.fairmont) == (date(2027, 2, 6), "asked for")
    assert state(sam.carrow) == (date(2027, 2, 7), "ranked")
    assert state(sam.norwood) == (date(2027, 3, 6), "asked for")
    assert "It is what is chosen now." in shown(as_teacher, sam)
    changes = Change.objects.filter(model="entries.entry", by=sam.people.ines.user)
    (batch,) = {change.batch for change in changes}
    assert reverse("undo", args=[batch]) in page.content.decode()
    as_teacher.post(reverse("undo", args=[batch]))
    assert {state(each) for each in (sam.fairmont, sam.carrow, sam.norwood)} == {(None, "open")}


def test_one_date_is_taken_over(as_teacher, sam):
    take_over(as_teacher, sam, entry=str(sam.carrow.pk))
    assert state(sam.carrow) == (date(2027, 2, 7), "ranked")
    assert state(sam.fairmont) == (None, "open")


def test_nothing_is_taken_over_if_the_plan_has_changed_meanwhile(as_teacher, sam):
    old = dating(sam).digest
    DateWishFactory(entry=sam.fairmont, date=sam.fairmont_dates[1], word="leave")
    url = reverse("dates_accept", args=[sam.student.pk])
    page = as_teacher.post(url, {"plan": old}, follow=True)
    assert "the plan is another by now" in page.content.decode()
    assert state(sam.fairmont) == (None, "open")


def test_what_is_confirmed_or_assigned_is_never_written_over(as_teacher, sam):
    Entry.objects.filter(pk=sam.fairmont.pk).update(
        chosen_date=sam.fairmont_dates[0], date_state="confirmed"
    )
    Audition.objects.filter(pk=sam.carrow.audition_id).update(date_choice="assigned")
    take_over(as_teacher, sam)
    assert state(sam.fairmont) == (date(2027, 1, 30), "confirmed")
    assert state(sam.carrow) == (None, "open")
    assert "the institution assigns its dates" in shown(as_teacher, sam)


@pytest.mark.parametrize("entry", ["0", "x", "-1", "9" * 5000])
def test_what_is_no_entry_of_the_plan_takes_nothing_over(as_teacher, sam, entry):
    assert "Nothing has changed" in take_over(as_teacher, sam, entry=entry).content.decode()
    assert state(sam.carrow) == (None, "open")


def test_what_was_confirmed_while_somebody_looked_at_the_plan_stays(sam):
    found = dating(sam)
    assert {turn.entry.pk for turn in found.turns if turn.changes} >= {sam.fairmont.pk}
    Entry.objects.filter(pk=sam.fairmont.pk).update(
        chosen_date=sam.fairmont_dates[0], date_state="confirmed"
    )
    taken = accept(found)
    assert sam.fairmont.pk not in {entry.pk for entry in taken}
    assert state(sam.fairmont) == (date(2027, 1, 30), "confirmed")
    assert state(sam.carrow) == (date(2027, 2, 7), "ranked")


def test_a_day_written_for_another_date_is_to_be_looked_at(as_teacher, sam):
    Entry.objects.filter(pk=sam.fairmont.pk).update(
        chosen_date=sam.fairmont_dates[0], date_state="asked for"
    )
    AuditionDayFactory(entry=sam.fairmont)
    DateWishFactory(entry=sam.fairmont, date=sam.fairmont_dates[0], word="leave")
    page = take_over(as_teacher, sam)
    assert "check the day: Fairmont" in page.content.decode()


def test_what_is_not_proven_says_how_far_it_may_be(sam):
    page = page_of(sam)
    page.dating.answer = replace(page.answer, proven=False, bound=7)
    assert page.points.endswith("no plan can have fewer than 7.")


def test_rows_that_make_no_sense_to_the_engine_are_told_and_break_nothing(as_teacher, sam):
    for n in range(41):
        OfferedDateFactory(audition=sam.norwood.audition, on=date(2027, 4, 1) + timedelta(days=n))
    text = shown(as_teacher, sam)
    assert "The dates cannot be planned" in text
    assert "Norwood" in text
    refused = as_teacher.post(
        reverse("dates_accept", args=[sam.student.pk]), {"plan": ""}, follow=True
    )
    assert "Nothing was taken over" in refused.content.decode()


# Many auditions


def test_many_auditions_are_answered_outside_the_web_process_and_alike(as_teacher, sam):
    """The same plan, its times by the same clocks, whether a worker sends it or not."""
    for n in range(QUICK):
        audition(sam.student, f"Place {n}", (41.5, -87.0), [date(2027, 4, 3 + n)])
    forget()
    found = dating(sam)
    here = answer(found.problem)
    assert len(found.asked) > QUICK
    assert _outside.cache_info().currsize == 0
    assert found.answer.plan.burden == here.plan.burden
    assert _outside.cache_info().currsize == 1
    told = [Wording(found.problem, "USD").lines(each.plan) for each in (found.answer, here)]
    assert [line.hops for line in told[0]] == [line.hops for line in told[1]]
    assert "Proven" in shown(as_teacher, sam)


# Who may


def test_an_assistant_reads_and_does_not_choose(client, people, sam):
    client.force_login(people.ana.user)
    text = shown(client, sam)
    assert "Take over" not in text
    assert "In any case" not in text


def test_a_way_out_is_one_button_away(as_teacher, sam):
    """Two fixed dates on one day, an ocean apart: one of the two has to go."""
    far, _ = audition(sam.student, "Farther", (21.3, -157.8), [date(2027, 2, 6)])
    DateWishFactory(entry=sam.fairmont, date=sam.fairmont_dates[1], word="keep")
    page, text = page_of(sam), shown(as_teacher, sam)
    left = [pair for way, out in page.ways_out for pair in out]
    assert (far.pk, "Farther") in left
    assert "Leave out Farther" in text
    as_teacher.post(reverse("date_kept", args=[far.pk]), {})
    assert page_of(sam).plan


def test_without_an_audition_or_without_any_date_the_page_says_what_to_do(as_teacher, people):
    url = reverse("dates_plan", args=[people.sam_student.pk])
    assert (
        reverse("entry_add", args=[people.sam_student.pk]) in as_teacher.get(url).content.decode()
    )
    audition(people.sam_student, "Silent", (41.0, -82.0), [])
    text = as_teacher.get(url).content.decode()
    assert "No dates are written down yet." in text
    assert "Take over" not in text
    refused = as_teacher.post(reverse("dates_accept", args=[people.sam_student.pk]), follow=True)
    assert "the plan is another by now" in refused.content.decode()
