"""Institutions, auditions, deadlines and dates are read, written down, changed and removed."""

from datetime import date, time

import pytest
from django.urls import reverse

from studio.entries.models import Task
from studio.institutions.contexts import labelled
from studio.institutions.models import Audition, Deadline, Institution, OfferedDate
from tests.big_studio import build
from tests.factories import (
    AuditionFactory,
    DeadlineFactory,
    EntryFactory,
    InstitutionFactory,
    InstrumentFactory,
    LeadTimeFactory,
    OfferedDateFactory,
    RequirementSetFactory,
)

pytestmark = pytest.mark.django_db
ZONE_LACKS = "Time zone not known"
CARE = "<em>Verify with the institution itself.</em>"


@pytest.fixture
def fairmont(people):
    return InstitutionFactory(studio=people.studio, name="Fairmont University")


@pytest.fixture
def audition(fairmont):
    return AuditionFactory(institution=fairmont)


def page(client, name, *args, query=""):
    return client.get(reverse(name, args=args) + query).content.decode()


class TestList:
    def test_each_line_counts_this_seasons_auditions_and_entries(
        self, as_teacher, people, fairmont, audition
    ):
        AuditionFactory(institution=fairmont, name="MMus", season="2025–26")
        for student in (people.sam_student, people.mia_student):
            EntryFactory(student=student, audition=audition)
        html = page(as_teacher, "institutions")
        assert "1 audition<" in html
        assert "2 entries" in html

    def test_a_search_goes_by_name_and_town(self, as_teacher, people, fairmont):
        InstitutionFactory(studio=people.studio, name="Norwood College", town="Carrow")
        html = page(as_teacher, "institutions", query="?q=carrow")
        assert "Norwood College" in html
        assert "Fairmont University" not in html

    def test_an_empty_list_says_what_comes_first(self, as_teacher):
        assert reverse("institution_add") in page(as_teacher, "institutions")

    def test_another_studios_institutions_are_not_listed(self, as_teacher, people):
        InstitutionFactory(studio=people.otto.studio, name="Hollins Bay University")
        assert "Hollins Bay" not in page(as_teacher, "institutions")


class TestInstitution:
    def test_it_shows_its_season_in_the_order_of_dates(self, as_teacher, fairmont, audition):
        DeadlineFactory(audition=audition, name="Scholarship form", on=date(2027, 1, 15))
        DeadlineFactory(audition=audition, name="Music application", on=date(2026, 12, 1))
        OfferedDateFactory(audition=audition, on=date(2027, 2, 6), starts=time(9))
        html = page(as_teacher, "institution", fairmont.pk)
        assert html.index("Music application") < html.index("Scholarship form")
        assert "Tuesday 1 December 2026, 23:59 New York time" in html
        assert "Saturday 6 February 2027, from 9:00" in html

    def test_it_shows_who_is_entered(self, as_teacher, people, fairmont, audition):
        EntryFactory(student=people.sam_student, audition=audition)
        html = page(as_teacher, "institution", fairmont.pk)
        assert "Sam Reyes</a>, Horn" in html
        assert "Mia Okafor" not in html

    def test_a_missing_zone_is_told_in_red_with_the_care_line(self, as_teacher, fairmont):
        Institution.objects.update(time_zone="")
        html = page(as_teacher, "institution", fairmont.pk)
        assert f'<p class="red">{ZONE_LACKS}' in html
        assert CARE in html

    def test_a_school_keeps_the_place_of_its_university(self, as_teacher, people, fairmont):
        school = InstitutionFactory(
            studio=people.studio, part_of=fairmont, time_zone="", latitude=None, longitude=None
        )
        html = page(as_teacher, "institution", school.pk)
        assert "New York time, as Fairmont University" in html
        assert ZONE_LACKS not in html
        assert "Coordinates not known" not in html
        assert school.name in page(as_teacher, "institution", fairmont.pk)

    def test_nothing_is_warned_of_where_nothing_is_missing(self, as_teacher, fairmont, audition):
        DeadlineFactory(audition=audition)
        RequirementSetFactory(institution=fairmont, checked_on=date(2026, 9, 1))
        assert CARE not in page(as_teacher, "institution", fairmont.pk)

    def test_requirements_that_nobody_checked_are_told(self, as_teacher, fairmont):
        RequirementSetFactory(institution=fairmont)
        html = page(as_teacher, "institution", fairmont.pk)
        assert '<span class="red">not checked yet</span>' in html
        assert CARE in html

    def test_another_seasons_audition_is_only_a_link(self, as_teacher, fairmont):
        old = AuditionFactory(institution=fairmont, season="2025–26")
        DeadlineFactory(audition=old, name="Old music application")
        html = page(as_teacher, "institution", fairmont.pk)
        assert reverse("audition", args=[old.pk]) in html
        assert "Old music application" not in html

    @pytest.mark.parametrize(
        ("line", "link"),
        [
            ("Parking https://a.example/p", ("Parking", "https://a.example/p")),
            ("https://a.example/p", ("https://a.example/p", "https://a.example/p")),
            ("Ask at the desk", ("Ask at the desk", "")),
            ("Click javascript:alert(1)", ("Click javascript:alert(1)", "")),
        ],
    )
    def test_only_addresses_of_the_web_become_links(self, line, link):
        assert labelled(line) == link

    def test_thirty_students_cost_no_more_queries_than_one(
        self, client, django_assert_max_num_queries
    ):
        counts = {name: [] for name in ("institutions", "institution", "audition")}
        for number in (1, 30):
            owner = build(number, date(2027, 1, 12))
            client.force_login(owner.user)
            held = Audition.objects.filter(institution__studio=owner.studio).first()
            keys = {"institution": [held.institution_id], "audition": [held.pk]}
            for name, asked in counts.items():
                with django_assert_max_num_queries(12) as queries:
                    page(client, name, *keys.get(name, []))
                asked.append(len(queries))
        assert all(one == thirty for one, thirty in counts.values()), counts


class TestWriting:
    def test_a_new_institution_leads_to_its_page(self, as_teacher, people):
        sent = {"name": "Carrow Conservatory", "kind": "university", "website": "carrow.example"}
        response = as_teacher.post(reverse("institution_add"), sent)
        carrow = Institution.objects.get()
        assert (carrow.studio, carrow.website) == (people.studio, "https://carrow.example")
        assert response.url == reverse("institution", args=[carrow.pk])

    def test_the_same_name_twice_is_told_beside_the_field(self, as_teacher, fairmont):
        sent = {"name": fairmont.name, "kind": "university"}
        response = as_teacher.post(reverse("institution_add"), sent)
        assert response.status_code == 422
        assert response.context["form"].errors["name"]
        assert Institution.objects.count() == 1

    def test_two_studios_may_have_the_same_institution(self, as_teacher, people, fairmont):
        InstitutionFactory(studio=people.otto.studio, name="Norwood")
        sent = {"name": "Norwood", "kind": "university"}
        assert as_teacher.post(reverse("institution_add"), sent).status_code == 302

    def test_nothing_is_part_of_itself(self, as_teacher, fairmont):
        form = as_teacher.get(reverse("institution_edit", args=[fairmont.pk])).context["form"]
        assert fairmont not in form.fields["part_of"].queryset

    def test_an_audition_is_of_the_studios_season(self, as_teacher, people, fairmont):
        url = reverse("audition_add", args=[fairmont.pk])
        assert as_teacher.get(url).context["form"]["season"].value() == people.studio.season
        sent = {
            "name": "BMus",
            "season": "2026–27",
            "format": "blind",
            "date_choice": "ranked",
            "reply_by": "2027-05-01",
        }
        response = as_teacher.post(url, sent)
        bmus = Audition.objects.get()
        assert (bmus.institution, bmus.reply_by) == (fairmont, date(2027, 5, 1))
        assert response.url == reverse("audition", args=[bmus.pk])

    def test_a_removed_institution_names_what_goes_with_it(self, as_teacher, people, audition):
        EntryFactory(student=people.sam_student, audition=audition)
        url = reverse("institution_remove", args=[audition.institution.pk])
        html = page(as_teacher, "institution_remove", audition.institution.pk)
        assert "<li>1 audition</li>" in html
        assert "<li>1 entry</li>" in html
        as_teacher.post(url)
        assert not Audition.objects.exists()


class TestDeadlines:
    def add(self, client, audition, **changed):
        sent = {"kind": "music application", "on": "2026-12-01", "at": "23:59"}
        return client.post(reverse("deadline_add", args=[audition.pk]), sent | changed)

    def test_a_deadline_without_words_of_its_own_is_called_after_its_kind(
        self, as_teacher, audition
    ):
        self.add(as_teacher, audition)
        assert Deadline.objects.get().name == "music application"

    def test_quick_entry_comes_back_to_its_first_field(self, as_teacher, audition):
        here = reverse("audition", args=[audition.pk])
        row = as_teacher.get(here).context["quick_deadline"]
        assert "autofocus" not in str(row.fields[0])
        response = self.add(as_teacher, audition, next=row.next)
        assert response.url == f"{here}?added=deadline"
        again = as_teacher.get(response.url)
        assert "autofocus" in str(again.context["quick_deadline"].fields[0])
        assert "autofocus" not in str(again.context["quick_date"].fields[0])

    def test_quick_entry_that_fails_keeps_what_was_typed_and_the_way_back(
        self, as_teacher, audition
    ):
        here = f"{reverse('audition', args=[audition.pk])}?added=deadline"
        response = self.add(as_teacher, audition, name="Early round", on="", next=here)
        html = response.content.decode()
        assert response.status_code == 422
        assert 'value="Early round"' in html
        assert f'name="next" value="{here}"' in html

    def test_a_new_deadline_draws_up_the_tasks_of_those_entered(self, as_teacher, people, audition):
        EntryFactory(student=people.sam_student, audition=audition)
        LeadTimeFactory(studio=people.studio, kind="music application", name="Send it")
        self.add(as_teacher, audition)
        assert Task.objects.get().name == "Send it"

    def test_a_deadline_without_a_zone_says_that_it_is_planned_early(self, as_teacher, audition):
        self.add(as_teacher, audition)
        html = page(as_teacher, "audition", audition.pk)
        assert "Time zone not stated: planned a day early." in html
        assert CARE in html

    def test_it_opens_only_after_another_of_the_same_audition(self, as_teacher, fairmont, audition):
        first = DeadlineFactory(audition=audition, name="university application")
        foreign = DeadlineFactory(audition=AuditionFactory(institution=fairmont, name="MMus"))
        assert self.add(as_teacher, audition, opens_after=foreign.pk).status_code == 422
        self.add(as_teacher, audition, opens_after=first.pk)
        html = page(as_teacher, "audition", audition.pk)
        assert "Opens after university application." in html

    @pytest.mark.parametrize(
        ("before", "unit", "mark", "words"),
        [
            ("7", "days", "7 days", "7 days before the audition, 23:59"),
            ("1", "working days", "1 working day", "1 working day before the audition, 23:59"),
            ("0", "", "the day", "On the day of the audition, 23:59"),
        ],
    )
    def test_a_deadline_may_be_counted_back_from_the_audition(
        self, as_teacher, audition, before, unit, mark, words
    ):
        counted = {"on": "", "before": before, "before_unit": unit}
        DeadlineFactory(audition=audition, name="Dated", on=date(2027, 3, 1))
        self.add(as_teacher, audition, name="Counted", zone="America/New_York", **counted)
        row = Deadline.objects.get(name="Counted")
        assert (row.on, row.before, row.before_unit) == (None, int(before), unit or "days")
        for html in (
            page(as_teacher, "audition", audition.pk),
            page(as_teacher, "institution", audition.institution_id),
        ):
            assert f'<span class="line-mark">{mark}</span>' in html
            assert words in html
            assert html.index("<p>Dated") < html.index("<p>Counted")

    @pytest.mark.parametrize("sent", [{"on": ""}, {"before": "7"}])
    def test_a_deadline_has_a_date_or_is_counted_back_never_both(self, as_teacher, audition, sent):
        response = self.add(as_teacher, audition, **sent)
        assert response.status_code == 422
        assert "one of the two" in response.context["form"].errors["on"][0]
        assert not Deadline.objects.exists()

    def test_more_than_ten_years_before_the_audition_is_a_slip(self, as_teacher, audition):
        response = self.add(as_teacher, audition, on="", before="3661")
        assert response.status_code == 422
        assert "3660" in response.context["form"].errors["before"][0]
        assert not Deadline.objects.exists()

    def test_one_opens_after_one_without_a_date(self, as_teacher, audition):
        first = DeadlineFactory(audition=audition, name="form", on=None, before=20)
        self.add(as_teacher, audition, opens_after=first.pk)
        assert "Opens after form." in page(as_teacher, "audition", audition.pk)

    def test_round_cost_and_late_terms_are_shown_with_the_care_line(
        self, as_teacher, people, audition
    ):
        people.studio.currency = "EUR"
        people.studio.save()
        late = {"late_until": "2026-12-08", "late_terms": "with a fee of 30"}
        sent = {"round": "early", "cost": "75.50", "zone": "America/New_York"} | late
        assert "Cost, EUR" in page(as_teacher, "deadline_add", audition.pk)
        self.add(as_teacher, audition, **sent)
        html = page(as_teacher, "audition", audition.pk)
        words = "Only for the round “early” · 75.50 EUR · taken late until 8 December 2026, with a"
        assert words in html
        assert CARE in html

    @pytest.mark.parametrize(
        ("sent", "field"),
        [
            ({"cost": "-1"}, "cost"),
            ({"cost": "1.234"}, "cost"),
            ({"late_until": "2026-12-01"}, "late_until"),
        ],
    )
    def test_terms_that_cannot_be_are_refused(self, as_teacher, audition, sent, field):
        response = self.add(as_teacher, audition, **sent)
        assert response.status_code == 422
        assert set(response.context["form"].errors) == {field}

    def test_two_of_one_name_are_told_beside_the_field(self, as_teacher, audition):
        self.add(as_teacher, audition)
        response = self.add(as_teacher, audition)
        assert response.status_code == 422
        assert "Tell them apart in words" in response.context["form"].errors["name"][0]

    def test_a_deadline_is_changed_and_removed(self, as_teacher, audition):
        deadline = DeadlineFactory(audition=audition)
        url = reverse("deadline_edit", args=[deadline.pk])
        sent = {"kind": deadline.kind, "name": "music form", "on": "2026-12-15", "zone": "New York"}
        assert as_teacher.post(url, sent).status_code == 422
        as_teacher.post(url, sent | {"zone": "America/New_York"})
        deadline.refresh_from_db()
        assert (deadline.name, deadline.on, deadline.at) == ("music form", date(2026, 12, 15), None)
        response = as_teacher.post(reverse("deadline_remove", args=[deadline.pk]))
        assert response.url == reverse("audition", args=[audition.pk])
        assert not Deadline.objects.exists()


class TestDates:
    def test_a_date_may_be_for_some_instruments_only(self, as_teacher, people, audition):
        horn = InstrumentFactory(studio=people.studio)
        url = reverse("date_add", args=[audition.pk])
        sent = {"on": "2027-02-06", "starts": "09:00", "ends": "16:00", "instruments": [horn.pk]}
        as_teacher.post(url, sent)
        html = page(as_teacher, "audition", audition.pk)
        assert "Saturday 6 February 2027, from 9:00 to 16:00" in html
        assert "Only Horn" in html

    def test_a_date_may_be_full_or_to_be_had_until_a_day(self, as_teacher, audition):
        url = reverse("date_add", args=[audition.pk])
        as_teacher.post(url, {"on": "2027-02-06", "full": "on"})
        as_teacher.post(url, {"on": "2027-02-13", "book_by": "2027-01-15"})
        for html in (
            page(as_teacher, "audition", audition.pk),
            page(as_teacher, "institution", audition.institution_id),
        ):
            assert html.count("<strong>full</strong>") == 1
            assert "6 February 2027, <strong>full</strong>" in html
            assert "to be had until 15 january 2027" in html.lower()

    def test_a_date_that_ends_before_it_starts_is_refused(self, as_teacher, audition):
        sent = {"on": "2027-02-06", "starts": "09:00", "ends": "08:00"}
        url = reverse("date_add", args=[audition.pk])
        assert as_teacher.post(url, sent).status_code == 422
        assert not OfferedDate.objects.exists()

    def test_a_date_that_is_chosen_stays_and_says_by_whom(self, as_teacher, people, audition):
        entry = EntryFactory(student=people.sam_student, audition=audition)
        url = reverse("date_remove", args=[entry.chosen_date.pk])
        assert "is still used by Sam Reyes" in page(as_teacher, "date_remove", entry.chosen_date.pk)
        as_teacher.post(url)
        assert OfferedDate.objects.exists()

    def test_a_date_nobody_has_chosen_goes(self, as_teacher, audition):
        offered = OfferedDateFactory(audition=audition)
        as_teacher.post(reverse("date_remove", args=[offered.pk]))
        assert not OfferedDate.objects.exists()


class TestWhoSeesIt:
    NAMES = ("institution", "audition")

    @pytest.mark.parametrize("role", ["sam", "otto"])
    def test_students_and_other_studios_see_nothing(self, client, people, fairmont, audition, role):
        client.force_login(getattr(people, role).user)
        for name, row in zip(self.NAMES, (fairmont, audition), strict=True):
            assert client.get(reverse(name, args=[row.pk])).status_code == 404

    def test_an_assistant_sees_and_changes_nothing(self, client, people, fairmont, audition):
        client.force_login(people.ana.user)
        html = page(client, "audition", audition.pk)
        assert "BMus performance" in html
        assert "<form" not in html.split("<main")[1]
        assert ">Edit<" not in html.split("<main")[1].split("</main>")[0]
        sent = {"kind": "fee", "on": "2026-12-01"}
        url = reverse("deadline_add", args=[audition.pk])
        assert client.post(url, sent).status_code == 404
        assert not Deadline.objects.exists()
