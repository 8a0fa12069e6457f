"""Second factors: asked for at sign-in, and of all staff where the owner wants it."""

import base64
from datetime import UTC, datetime
from io import StringIO

import pytest
import time_machine
from allauth.mfa.models import Authenticator
from allauth.mfa.recovery_codes.internal.auth import RecoveryCodes
from allauth.mfa.totp.internal.auth import TOTP
from cryptography.fernet import InvalidToken
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import reverse

from studio.accounts.models import Role
from tests.factories import seat
from tests.studio.test_settings import SETTINGS
from tests.studio.test_sign_in import ask, code_sent, confirm, sign_in

pytestmark = pytest.mark.django_db
# RFC 6238, appendix B: the secret, and what it gives at 1111111109 and 1234567890 seconds after
# 1970 (the last six of eight digits). AT is when the half minute of the first began.
RFC_SECRET = base64.b32encode(b"12345678901234567890").decode()
AT, CODE = datetime.fromtimestamp(1111111109 // 30 * 30, UTC), "081804"
LATER_CODE = "005924"
INDEX = "/account/two-factors/"


@pytest.fixture
def then():
    """A moment whose code is published; it stands still."""
    with time_machine.travel(AT, tick=False) as clock:
        yield clock


@pytest.fixture
def theo(people):
    """Theo, a teacher, with an app."""
    TOTP.activate(people.theo.user, RFC_SECRET)
    return people.theo.user


@pytest.fixture
def asked(people):
    """The studio asks for two factors."""
    people.studio.two_factor = True
    people.studio.save()
    return people


def second(client, code):
    return client.post(reverse("mfa_authenticate"), {"code": code})


def signed_in(client):
    return "_auth_user_id" in client.session


def signed_in_as(who):
    client = Client()
    client.force_login(who.user)
    return client


def passkey(user, name="Phone"):
    kind = Authenticator.Type.WEBAUTHN
    return Authenticator.objects.create(user=user, type=kind, data={"name": name})


def test_a_password_alone_does_not_open(then, theo, client):
    assert sign_in(theo.email, client=client).url == reverse("mfa_authenticate")
    assert not signed_in(client)
    assert second(client, CODE).url == reverse("home")
    assert signed_in(client)


def test_a_wrong_code_does_not_open(then, theo, client):
    sign_in(theo.email, client=client)
    assert "not the code" in second(client, LATER_CODE).content.decode()
    assert not signed_in(client)


@pytest.mark.parametrize("seconds", [0, 29, 45])
def test_a_code_that_was_used_is_refused(then, theo, client, seconds):
    sign_in(theo.email, client=client)
    second(client, CODE)
    then.shift(seconds)  # 45 s later it would still be taken from a phone that is slow
    other = Client()
    sign_in(theo.email, client=other)
    second(other, CODE)
    assert signed_in(client)
    assert not signed_in(other)


def test_a_code_counts_for_half_a_minute_more_or_less(then, theo, client):
    then.shift(45)
    sign_in(theo.email, client=client)
    second(client, CODE)
    assert signed_in(client)


def test_a_recovery_code_opens_once(then, theo):
    code = RecoveryCodes.activate(theo).get_unused_codes()[0]
    clients = [Client(), Client()]
    for client in clients:
        sign_in(theo.email, client=client)
        second(client, code)
    assert [signed_in(client) for client in clients] == [True, False]


def test_codes_cannot_be_tried_out(then, theo, client):
    sign_in(theo.email, client=client)
    for n in range(5):
        second(client, f"{n:06}")
    second(client, CODE)
    assert not signed_in(client)


def test_a_code_by_mail_does_not_replace_it(then, theo, client):
    ask("account_request_login_code", theo.email, client)
    confirm(client, code_sent())
    assert not signed_in(client)
    second(client, CODE)
    assert signed_in(client)


def test_the_database_alone_gives_no_secret_away(theo):
    kept = str(Authenticator.objects.get(user=theo).data)
    assert RFC_SECRET not in kept
    assert Authenticator.objects.get(user=theo).wrap().validate_code("000000") is False


def test_a_new_key_of_the_site_opens_what_the_old_one_sealed(then, theo, settings):
    settings.SECRET_KEY, old = "another key", settings.SECRET_KEY
    factor = Authenticator.objects.get(user=theo).wrap()
    with pytest.raises(InvalidToken):
        factor.validate_code(CODE)
    settings.SECRET_KEY_FALLBACKS = [old]
    assert factor.validate_code(CODE)


@pytest.mark.parametrize("name", ["ines", "theo", "ana"])
def test_staff_without_one_are_led_to_it(asked, name):
    client = signed_in_as(getattr(asked, name))
    answer = client.get(reverse("score"))
    assert answer.url == INDEX
    assert "Quayside Brass asks for a second factor" in client.get(INDEX).content.decode()
    assert client.post(reverse("student_add"), {"name": "X"}).url == INDEX
    assert client.get(reverse("home")).url == INDEX


def test_the_pages_that_add_one_are_open(asked):
    client = signed_in_as(asked.theo)
    assert client.get(reverse("account")).status_code == 200
    assert client.get(reverse("mfa_activate_totp")).url.startswith(
        reverse("account_reauthenticate")
    )
    assert client.post(reverse("account_logout")).status_code == 302


def test_a_piece_of_a_page_leads_the_whole_page(asked):
    answer = signed_in_as(asked.theo).get(reverse("score"), headers={"HX-Request": "true"})
    assert answer["HX-Redirect"] == INDEX


def test_whoever_has_one_goes_on(asked, theo):
    assert signed_in_as(asked.theo).get(reverse("score")).status_code == 200


def test_a_recovery_code_is_no_second_factor(asked):
    RecoveryCodes.activate(asked.theo.user)
    assert signed_in_as(asked.theo).get(reverse("score")).url == INDEX


def test_those_who_learn_and_their_company_are_not_asked(company, asked):
    for who, route in ((company.sam, "part"), (company.gil, "part"), (company.paz, "accompanying")):
        page = signed_in_as(who).get(reverse(route), follow=True)
        assert page.status_code == 200
        assert INDEX not in [url for url, _ in page.redirect_chain]


def test_what_is_open_to_all_stays_open(asked):
    client = signed_in_as(asked.theo)
    token = asked.studio.feed_token
    assert client.get(reverse("studio_feed_calendar", args=[token])).status_code == 200
    assert client.get(reverse("health")).status_code == 200


def test_another_studio_asks_its_own(asked):
    assert signed_in_as(asked.otto).get(reverse("score")).status_code == 200


def test_an_owner_who_asks_for_it_is_asked_at_once(as_teacher, people):
    answer = as_teacher.post(reverse("studio"), SETTINGS | {"two_factor": "on"}, follow=True)
    assert [url for url, _ in answer.redirect_chain] == [reverse("studio"), INDEX]
    people.studio.refresh_from_db()
    assert people.studio.two_factor


def test_only_the_owner_asks_for_it(people):
    signed_in_as(people.theo).post(reverse("studio"), SETTINGS | {"two_factor": "on"})
    people.studio.refresh_from_db()
    assert not people.studio.two_factor


def again(client):
    """Show once more that it is oneself."""
    client.post(reverse("account_reauthenticate"), {"password": "a long enough secret"})


def test_the_last_one_stays_while_it_is_asked_for(asked, theo):
    client = signed_in_as(asked.theo)
    again(client)
    assert "It stays" in client.get(reverse("mfa_deactivate_totp")).content.decode()
    client.post(reverse("mfa_deactivate_totp"))
    key = passkey(theo)
    client.post(reverse("mfa_deactivate_totp"))
    assert [each.type for each in theo.authenticator_set.all()] == ["webauthn"]
    page = client.post(reverse("mfa_remove_webauthn", args=[key.pk]), follow=True)
    assert "It stays" in page.content.decode()
    assert theo.authenticator_set.count() == 1


def test_it_goes_where_nobody_asks_for_it(people, theo):
    client = signed_in_as(people.theo)
    again(client)
    key = passkey(theo)
    client.post(reverse("mfa_deactivate_totp"))
    client.post(reverse("mfa_remove_webauthn", args=[key.pk]))
    assert theo.authenticator_set.count() == 0


def test_a_passkey_of_somebody_else_does_not_exist(people, theo):
    key = passkey(theo)
    client = signed_in_as(people.ines)
    again(client)
    assert client.post(reverse("mfa_remove_webauthn", args=[key.pk])).status_code == 404
    assert theo.authenticator_set.count() == 2


def test_a_teacher_here_and_guardian_there_is_asked_here(asked):
    there = seat(asked.otto.studio, Role.GUARDIAN)
    there.user = asked.theo.user
    there.save()
    client = signed_in_as(asked.theo)
    assert client.get(reverse("home")).url == INDEX
    client.post(reverse("seat_choose", args=[there.pk]))
    assert client.get(reverse("part")).status_code == 200


def test_whoever_runs_the_site_helps_who_has_lost_theirs(then, theo, client, people):
    sign_in(theo.email, client=client)
    second(client, CODE)
    RecoveryCodes.activate(theo)
    TOTP.activate(people.ines.user, RFC_SECRET)
    call_command("forget_second_factors", theo.email.upper(), stdout=StringIO())
    assert list(Authenticator.objects.values_list("user", flat=True)) == [people.ines.user.pk]
    assert not signed_in(client)
    assert sign_in(theo.email).url == reverse("home")
    with pytest.raises(CommandError, match="Nobody"):
        call_command("forget_second_factors", "nobody@studio.example")
