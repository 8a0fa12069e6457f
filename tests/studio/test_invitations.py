"""Seats are given by one-time links; nobody signs up without one."""

import re
from datetime import timedelta

import pytest
import time_machine
from django.urls import reverse
from django.utils import timezone

from studio.accounts import history, queries
from studio.accounts.models import Invitation, Membership, Role, User
from tests.factories import AccompanistFactory, GuardianFactory, StudentFactory

pytestmark = pytest.mark.django_db
SECRET = "a long enough secret"


def invite(client, email="new@studio.example", role="assistant"):
    page = client.post(reverse("people"), {"email": email, "role": role})
    return re.search(r"http://testserver(/invitation/[^<]+)", page.content.decode()).group(1)


def test_an_invited_assistant_gets_a_seat_and_is_signed_in(as_teacher, client, people):
    link = invite(as_teacher)
    client.logout()
    response = client.post(link, {"name": "Noor Haddad", "password": SECRET})
    seat = Membership.objects.get(user__email="new@studio.example")
    assert (seat.studio, seat.role, seat.user.name) == (people.studio, "assistant", "Noor Haddad")
    assert response.url == reverse("home")
    assert client.session["_auth_user_id"] == str(seat.user.pk)


def test_opening_the_link_takes_nothing(as_teacher, client):
    link = invite(as_teacher)
    client.logout()
    assert "Join" in client.get(link).content.decode()
    assert client.get(link).status_code == 200
    assert not User.objects.filter(email="new@studio.example").exists()


def test_a_link_works_once(as_teacher, client):
    link = invite(as_teacher)
    client.logout()
    client.post(link, {"name": "Noor", "password": SECRET})
    client.logout()
    assert client.post(link, {"name": "Eve", "password": SECRET}).status_code == 404
    assert not User.objects.filter(name="Eve").exists()


def test_a_link_ends_after_a_fortnight(as_teacher, client):
    link = invite(as_teacher)
    client.logout()
    with time_machine.travel(timezone.now() + timedelta(days=14, minutes=1)):
        assert client.get(link).status_code == 404


def test_a_new_invitation_to_a_seat_ends_the_earlier_one(people):
    seat = Membership.objects.create(studio=people.studio, role=Role.ASSISTANT)
    first = Invitation.issue(seat, "a@studio.example").split("/")[-2]
    second = Invitation.issue(seat, "a@studio.example").split("/")[-2]
    assert Invitation.open(first) is None
    assert Invitation.open(second).membership == seat


def test_the_secret_itself_is_not_kept(people):
    seat = Membership.objects.create(studio=people.studio, role=Role.ASSISTANT)
    secret = Invitation.issue(seat, "a@studio.example").split("/")[-2]
    assert secret not in str(Invitation.objects.values())


def test_two_at_once_cannot_both_be_seated(people):
    seat = Membership.objects.create(studio=people.studio, role=Role.ASSISTANT)
    invited = Invitation.open(Invitation.issue(seat, "a@studio.example").split("/")[-2])
    again = Invitation.objects.get(pk=invited.pk)
    assert invited.accept(people.otto.user)
    assert not again.accept(people.theo.user)
    seat.refresh_from_db()
    assert seat.user == people.otto.user


def test_a_known_address_has_to_sign_in_first(as_teacher, client, people):
    link = invite(as_teacher, people.otto.user.email)
    client.logout()
    page = client.post(link, {"name": "Mallory", "password": SECRET})
    assert "has an account here already" in page.content.decode()
    people.otto.user.refresh_from_db()
    assert people.otto.user.name == "Otto Vance"
    assert not people.studio.memberships.filter(user=people.otto.user).exists()


def test_whoever_is_signed_in_as_somebody_else_signs_out_first(as_teacher, client, people):
    link = invite(as_teacher, people.otto.user.email)
    client.force_login(people.sam.user)
    page = client.post(link)
    assert "you are signed in as Sam Reyes" in page.content.decode()
    way = re.search(r'href="(/account/logout/[^"]+)"', page.content.decode()).group(1)
    assert f'name="next" value="{link}"' in client.get(way).content.decode()
    assert client.post(way).url == link
    assert "/account/login/?next=" in client.get(link).content.decode()
    assert not people.studio.memberships.filter(user=people.otto.user).exists()


def test_so_has_one_that_is_not_the_main_one(as_teacher, client, people):
    people.otto.user.emailaddress_set.create(email="Second@otto.example", verified=True)
    link = invite(as_teacher, "second@otto.example")
    client.logout()
    page = client.post(link, {"name": "Mallory", "password": SECRET})
    assert "has an account here already" in page.content.decode()
    client.force_login(people.otto.user)
    client.post(link)
    assert people.studio.memberships.get(user=people.otto.user).role == "assistant"


def test_an_address_that_nobody_proved_is_nobodys(as_teacher, client, people):
    people.otto.user.emailaddress_set.create(email="new@studio.example", verified=False)
    link = invite(as_teacher)
    client.logout()
    client.post(link, {"name": "Noor", "password": SECRET})
    assert people.studio.memberships.get(user__name="Noor").role == "assistant"


def test_a_second_click_makes_nobody_twice(as_teacher, client, people, monkeypatch):
    link = invite(as_teacher)
    client.logout()
    client.post(link, {"name": "Noor", "password": SECRET})
    Invitation.objects.update(used_at=None)
    monkeypatch.setattr(queries, "whose", lambda email: None)
    assert client.post(link, {"name": "Noor", "password": SECRET}).url == link
    assert User.objects.filter(name="Noor").count() == 1


def test_a_weak_password_is_told_and_nothing_is_lost(as_teacher, client):
    link = invite(as_teacher)
    client.logout()
    page = client.post(link, {"name": "Noor Haddad", "password": "12345678"})
    assert page.status_code == 422
    assert "Noor Haddad" in page.content.decode()
    assert Invitation.open(link.split("/")[-2]) is not None


def test_nobody_signs_up_uninvited(client):
    client.post(
        reverse("account_signup"),
        {"email": "eve@studio.example", "password1": SECRET, "password2": SECRET},
    )
    assert not User.objects.filter(email="eve@studio.example").exists()


def test_the_page_keeps_the_secret_from_other_sites(as_teacher, client):
    link = invite(as_teacher)
    client.logout()
    page = client.get(link)
    assert page["Referrer-Policy"] == "same-origin"
    assert "no-store" in page["Cache-Control"]


def test_an_assistant_invites_nobody(client, people):
    client.force_login(people.ana.user)
    data = {"email": "friend@studio.example", "role": "teacher"}
    assert client.post(reverse("people"), data).status_code == 404
    assert not Invitation.objects.exists()


def test_nobody_is_invited_as_owner(as_teacher):
    as_teacher.post(reverse("people"), {"email": "friend@studio.example", "role": "owner"})
    assert not Invitation.objects.exists()


def test_a_seat_taken_away_ends_the_way_in(as_teacher, client, people):
    as_teacher.post(reverse("membership_remove", args=[people.ana.pk]))
    client.force_login(people.ana.user)
    assert "You are in no studio yet" in client.get(reverse("home")).content.decode()


def test_the_owners_own_seat_stays(as_teacher, people):
    response = as_teacher.post(reverse("membership_remove", args=[people.ines.pk]))
    assert response.status_code == 404
    assert Membership.objects.filter(pk=people.ines.pk).exists()


def invited(row, role):
    """Give a row of the students' app a seat, and return the path of the link to it."""
    row.membership = Membership.objects.create(studio=row.studio, role=role)
    row.save()
    return Invitation.issue(row.membership, row.email)


SEATED = [
    (StudentFactory, Role.STUDENT),
    (GuardianFactory, Role.GUARDIAN),
    (AccompanistFactory, Role.ACCOMPANIST),
]


@pytest.mark.parametrize(("factory", "role"), SEATED)
def test_a_changed_address_ends_the_link_sent_to_the_old_one(people, client, factory, role):
    row = factory(studio=people.studio, email="Old@studio.example")
    link = invited(row, role)
    row.name = "Another Name"
    row.save()
    assert client.get(link).status_code == 200
    row.email = "new@studio.example"
    row.save()
    assert client.post(link, {"name": "Eve", "password": SECRET}).status_code == 404
    assert not Invitation.objects.filter(membership=row.membership).exists()
    assert client.get(Invitation.issue(row.membership, row.email)).status_code == 200


@pytest.mark.parametrize(("factory", "role"), SEATED)
def test_so_does_one_that_came_with_a_workbook(people, client, factory, role):
    row = factory(studio=people.studio, email="old@studio.example")
    link = invited(row, role)
    row.email = "new@studio.example"
    history.bulk_update([row], ["email"])
    assert client.get(link).status_code == 404


def test_a_used_invitation_is_kept(people):
    row = people.sam_student
    Invitation.issue(row.membership, "old@studio.example")
    Invitation.objects.update(used_at=timezone.now())
    row.email = "new@studio.example"
    row.save()
    assert Invitation.objects.filter(membership=row.membership).count() == 1
