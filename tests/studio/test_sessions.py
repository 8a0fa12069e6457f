"""Where somebody is signed in: listed in short words, ended at once; and in which seat."""

import os
import re
import subprocess
import sys
from datetime import timedelta

import pytest
from allauth.usersessions.models import UserSession
from django.contrib.sessions.models import Session
from django.core import mail
from django.core.management import call_command
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from studio.accounts.models import Invitation, Membership, Role
from studio.accounts.sessions import browser
from tests.factories import UserSessionFactory, seat
from tests.studio.test_sign_in import SECRET, ask, sign_in

pytestmark = pytest.mark.django_db
FIREFOX = "Mozilla/5.0 (X11; Linux x86_64; rv:140.0) Gecko/20100101 Firefox/140.0"
SAFARI = (
    "Mozilla/5.0 (iPhone; CPU iPhone OS 18_5 like Mac OS X) AppleWebKit/605.1.15 (KHTML, like "
    "Gecko) Version/18.5 Mobile/15E148 Safari/604.1"
)
NEW = "another long enough secret"


@pytest.fixture
def two(people):
    """Theo's laptop and his phone, both signed in."""
    clients = [Client(HTTP_USER_AGENT=agent) for agent in (FIREFOX, SAFARI)]
    for client in clients:
        sign_in(people.theo.user.email, client=client)
    return clients


def comes_in(client):
    return client.get(reverse("account")).status_code == 200


def text(page):
    main = page.content.decode().split("<main")[1].split("</main>")[0]
    return " ".join(re.sub(r"<[^>]+>", " ", main).split())


@pytest.mark.parametrize(
    ("agent", "name"),
    [
        (FIREFOX, "Firefox on Linux"),
        (SAFARI, "Safari on iPhone"),
        (
            "Mozilla/5.0 (Windows NT 10.0; Win64; x64) AppleWebKit/537.36 (KHTML, like Gecko) "
            "Chrome/138.0.0.0 Safari/537.36 Edg/138.0.0.0",
            "Edge on Windows",
        ),
        (
            "Mozilla/5.0 (Linux; Android 10; K) AppleWebKit/537.36 (KHTML, like Gecko) "
            "Chrome/138.0.0.0 Mobile Safari/537.36",
            "Chrome on Android",
        ),
        (
            "Mozilla/5.0 (Macintosh; Intel Mac OS X 10_15_7) AppleWebKit/605.1.15 (KHTML, like "
            "Gecko) Version/18.5 Safari/605.1.15",
            "Safari on Mac",
        ),
        ("curl/8.5.0", "Another browser"),
        ("", "Another browser"),
    ],
)
def test_a_browser_is_named_in_short_words(agent, name):
    assert browser(agent) == name


def test_they_are_listed_this_one_first(two):
    said = text(two[0].get(reverse("sessions")))
    assert said.index("Firefox on Linux") < said.index("This browser.")
    assert said.index("This browser.") < said.index("Safari on iPhone")


def test_where_somebody_came_from_is_not_kept(two):
    assert set(UserSession.objects.values_list("ip", flat=True)) == {"0.0.0.0"}


def test_one_ends_at_once(two, people):
    phone = UserSession.objects.get(user=people.theo.user, user_agent=SAFARI)
    two[0].post(reverse("session_end", args=[phone.pk]))
    assert [comes_in(client) for client in two] == [True, False]
    assert "Safari on iPhone" not in text(two[0].get(reverse("sessions")))


def test_this_one_is_signed_out_of_not_ended(two, people):
    own = UserSession.objects.get(user=people.theo.user, user_agent=FIREFOX)
    assert two[0].post(reverse("session_end", args=[own.pk])).status_code == 404
    assert comes_in(two[0])


def test_all_others_end_at_once(two, people):
    third = Client()
    sign_in(people.theo.user.email, client=third)
    stranger = Client()
    sign_in(people.ines.user.email, client=stranger)
    two[0].post(reverse("sessions"))
    assert [comes_in(c) for c in (*two, third, stranger)] == [True, False, False, True]


def test_nobody_ends_that_of_somebody_else(two, people):
    stranger = Client()
    sign_in(people.ines.user.email, client=stranger)
    phone = UserSession.objects.get(user=people.theo.user, user_agent=SAFARI)
    assert stranger.post(reverse("session_end", args=[phone.pk])).status_code == 404
    assert comes_in(two[1])


def test_one_that_has_run_out_is_not_listed(two, people):
    UserSessionFactory(user=people.theo.user, user_agent="Opera OPR/1")
    assert "Opera" not in text(two[0].get(reverse("sessions")))


def test_nothing_is_kept_of_one_that_is_over(two, people):
    two[0].post(reverse("account_logout"))
    assert [row.user_agent for row in UserSession.objects.all()] == [SAFARI]
    Session.objects.update(expire_date=timezone.now() - timedelta(seconds=1))
    call_command("clearsessions")
    assert not UserSession.objects.exists()


def test_a_new_password_ends_the_others_and_is_told(two, people):
    data = {"oldpassword": SECRET, "password1": NEW, "password2": NEW}
    two[0].post(reverse("account_change_password"), data)
    assert [comes_in(client) for client in two] == [True, False]
    assert [row.user_agent for row in UserSession.objects.filter(user=people.theo.user)] == [
        FIREFOX
    ]
    letter = mail.outbox[-1]
    assert letter.to == [people.theo.user.email]
    assert letter.subject == "Anacrusis: Your password was changed"
    assert "in Firefox on Linux." in letter.body


def test_a_password_found_again_ends_all_and_is_told(two, people):
    ask("account_reset_password", people.theo.user.email)
    link = re.search(r"http://testserver(/\S+)", mail.outbox[-1].body).group(1)
    lost = Client()
    form = lost.get(link, follow=True).redirect_chain[-1][0]
    lost.post(form, {"password1": NEW, "password2": NEW})
    assert [comes_in(client) for client in two] == [False, False]
    assert mail.outbox[-1].subject == "Anacrusis: Your password was changed"
    assert sign_in(people.theo.user.email, NEW).url == reverse("home")


def test_a_new_main_address_is_told_at_the_old_one(two, people):
    theo = people.theo.user
    old, new = theo.email, "theo@elsewhere.example"
    theo.emailaddress_set.create(email=old, verified=True, primary=True)
    theo.emailaddress_set.create(email=new, verified=True)
    two[0].post(reverse("account_email"), {"email": new, "action_primary": ""})
    theo.refresh_from_db()
    assert theo.email == new
    assert old in [letter.to[0] for letter in mail.outbox]


def test_a_seat_taken_away_ends_them(two, people):
    client = Client()
    client.force_login(people.ines.user)
    client.post(reverse("membership_remove", args=[people.theo.pk]))
    assert [comes_in(each) for each in two] == [False, False]


def test_a_student_removed_is_signed_out(people):
    client = Client()
    sign_in(people.sam.user.email, client=client)
    people.sam_student.delete()
    assert not comes_in(client)


def test_an_account_erased_is_signed_out(two, people):
    people.theo.user.delete()
    assert [comes_in(client) for client in two] == [False, False]


def test_whoever_joins_finds_their_browser_listed(people, client):
    empty = Membership.objects.create(studio=people.studio, role=Role.ASSISTANT)
    link = Invitation.issue(empty, "new@studio.example")
    client.post(link, {"name": "Noor Haddad", "password": SECRET})
    assert "This browser." in text(client.get(reverse("sessions")))


@pytest.mark.parametrize(("https", "said"), [("1", "True True Lax"), ("0", "False True Lax")])
def test_the_cookie_travels_by_https_alone_where_there_is_https(https, said, tmp_path):
    """The settings are read anew, as a site behind HTTPS reads them."""
    told = "s.SESSION_COOKIE_SECURE, s.SESSION_COOKIE_HTTPONLY, s.SESSION_COOKIE_SAMESITE"
    asked = f"from django.conf import settings as s; print({told})"
    environment = os.environ | {
        "DJANGO_SETTINGS_MODULE": "studio.settings",
        "HTTPS": https,
        "SECRET_KEY": "for tests only",
        "RUN_DIR": str(tmp_path),
    }
    done = subprocess.run(  # noqa: S603
        [sys.executable, "-c", asked], env=environment, capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == said


@pytest.fixture
def elsewhere(people):
    """Theo is a guardian in Otto's studio too."""
    there = seat(people.otto.studio, Role.GUARDIAN)
    there.user = people.theo.user
    there.save()
    return there


class TestSeats:
    def test_the_first_is_taken_until_another_is_chosen(self, two, people, elsewhere):
        assert two[0].get(reverse("score")).wsgi_request.who == people.theo
        two[0].post(reverse("seat_choose", args=[elsewhere.pk]))
        assert two[0].get(reverse("account")).wsgi_request.who == elsewhere
        assert two[0].get(reverse("score")).status_code == 404
        assert two[1].get(reverse("score")).wsgi_request.who == people.theo

    def test_the_page_names_them_all_and_says_which(self, two, people, elsewhere):
        said = text(two[0].get(reverse("account")))
        assert "Quayside Brass , teacher You are here now." in said
        assert "Elsewhere , guardian Go there" in said

    def test_the_navigation_says_which(self, two, people, elsewhere):
        two[0].post(reverse("seat_choose", args=[elsewhere.pk]))
        top = two[0].get(reverse("account")).content.decode().split("</header>")[0]
        assert "Elsewhere, <a" in top
        assert "guardian</a>" in top

    def test_whoever_has_one_is_not_bothered(self, two):
        assert "Your seats" not in text(two[0].get(reverse("account")))

    def test_nobody_takes_that_of_somebody_else(self, two, people):
        assert two[0].post(reverse("seat_choose", args=[people.ines.pk])).status_code == 404
        assert two[0].get(reverse("account")).wsgi_request.who == people.theo

    def test_one_taken_away_falls_back_to_the_first(self, people, elsewhere, client):
        client.force_login(people.theo.user)
        client.post(reverse("seat_choose", args=[elsewhere.pk]))
        elsewhere.delete()
        assert client.get(reverse("account")).wsgi_request.who == people.theo

    def test_an_invitation_leads_to_the_new_one(self, two, people):
        empty = Membership.objects.create(studio=people.otto.studio, role=Role.TEACHER)
        two[0].post(Invitation.issue(empty, people.theo.user.email))
        assert two[0].get(reverse("score")).wsgi_request.who == empty

    def test_a_guardian_can_be_the_pianist_too(self, company, client):
        client.force_login(company.gil.user)
        at_the_piano = Membership.objects.create(studio=company.studio, role=Role.ACCOMPANIST)
        client.post(Invitation.issue(at_the_piano, company.gil.user.email))
        assert client.get(reverse("accompanying")).status_code == 200
        client.post(reverse("seat_choose", args=[company.gil.pk]))
        assert client.get(reverse("accompanying")).status_code == 404
        assert client.get(reverse("student", args=[company.sam_student.pk])).status_code == 200

    def test_nobody_takes_the_same_twice(self, company, client):
        client.force_login(company.gil.user)
        same = Membership.objects.create(studio=company.studio, role=Role.GUARDIAN)
        page = client.post(Invitation.issue(same, company.gil.user.email), follow=True)
        assert "nothing has changed" in page.content.decode()
        assert company.studio.memberships.filter(user=company.gil.user).count() == 1
