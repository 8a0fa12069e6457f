"""A set says how it is scored: written, read back, copied, compared, and told on its page."""

from datetime import date

import pytest
from django.urls import reverse
from django.utils.html import strip_tags

from studio.requirements.changes import from_source, since_check
from studio.requirements.copying import copy, fill
from studio.requirements.models import RequirementSet
from studio.requirements.queries import copied_sets
from tests.factories import InstitutionFactory, InstrumentFactory, RequirementSetFactory
from tests.pages import form_of

pytestmark = pytest.mark.django_db

RUBRIC = "tone: 20; scales: 15, at least 7; pass: 25"
WORDS = "tone 20, scales 15 (at least 7, or nothing passes); 35 points in all; 25 passes"


@pytest.fixture
def asked(people):
    return RequirementSetFactory(
        institution=InstitutionFactory(studio=people.studio),
        instrument=InstrumentFactory(studio=people.studio),
        rubric=RUBRIC,
    )


def text(response):
    return " ".join(strip_tags(response.content.decode()).split())


def edit(client, row, rubric):
    address = reverse("requirement_set_edit", args=[row.pk])
    sent = form_of(client.get(address), "rubric")
    return client.post(address, sent | {"rubric": rubric})


def test_its_page_says_it_in_words_and_to_verify_it(asked, as_teacher):
    page = text(as_teacher.get(asked.get_absolute_url()))
    assert f"How it is scored {WORDS.capitalize()}. Verify with the institution." in page
    RequirementSet.objects.update(rubric="")
    assert "How it is scored" not in text(as_teacher.get(asked.get_absolute_url()))


def test_what_cannot_be_read_is_refused_with_the_clause_and_kept_in_the_form(asked, as_teacher):
    response = edit(as_teacher, asked, "tone: 20; scales: many")
    assert response.status_code == 422
    assert "“scales: many”: “many” is not a number of points" in text(response)
    assert response.context["form"]["rubric"].value() == "tone: 20; scales: many"
    asked.refresh_from_db()
    assert asked.rubric == RUBRIC


def test_it_is_read_back_in_words_in_the_form_and_while_it_is_typed(asked, as_teacher):
    form = as_teacher.get(reverse("requirement_set_edit", args=[asked.pk]))
    assert WORDS in text(form)

    def typed(rubric):
        found = {"notation": "rubric", "rubric": rubric}
        return text(as_teacher.get(reverse("notation"), found, headers={"HX-Request": "true"}))

    assert typed("tone: 20, times 2") == "tone 20 counted 2 times; 40 points in all"
    assert "Did you mean “times”" in typed("tone: 20, tims 2")


def test_the_page_of_notations_explains_it(as_teacher):
    page = text(as_teacher.get(reverse("notation")))
    assert "How it is scored" in page and "memory slips: minus 2 each, at most 10" in page


def test_a_text_written_past_the_form_makes_a_red_mark(asked, as_teacher):
    RequirementSet.objects.update(rubric="tone: much")
    page = text(as_teacher.get(asked.get_absolute_url()))
    assert "How it is scored: what stands there cannot be read by the program." in page


def test_it_goes_along_in_copies_and_an_own_one_stays(asked, people):
    source = copied_sets().get(pk=asked.pk)
    place = InstitutionFactory(studio=people.studio)
    made = copy(source, RequirementSet(institution=place, instrument=asked.instrument, season="x"))
    assert RequirementSet.objects.get(pk=made.pk).rubric == RUBRIC
    own = RequirementSetFactory(institution__studio=people.studio, rubric="tone: 5")
    bare = RequirementSetFactory(institution__studio=people.studio)
    for target in (own, bare):
        fill(target, source)
    assert (own.rubric, bare.rubric) == ("tone: 5", RUBRIC)


def test_it_counts_as_a_difference(asked, as_teacher):
    asked.checked_on, asked.checked_by = date(2026, 9, 14), "R. Amadi"
    asked.save()
    assert since_check(asked) == ()
    edit(as_teacher, asked, "tone: 30")
    asked.refresh_from_db()
    (found,) = since_check(asked)
    assert found.words == (f"How it is scored tone: 30, before {RUBRIC}",)
    other = RequirementSetFactory(institution=asked.institution, instrument=asked.instrument)
    other.source = asked.source
    words = from_source(asked, other)[0].words
    assert "How it is scored nothing, before tone: 30" in words
