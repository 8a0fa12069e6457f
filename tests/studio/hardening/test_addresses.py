"""Addresses that are keys: nobody guesses one, and none opens more than it was made for."""

import math
from datetime import timedelta

import pytest
from django.core import signing
from django.test import Client
from django.urls import reverse

from studio.accounts.models import Invitation, Membership, Role, feed_token
from studio.reminders.sending import SALT, seat_at, stop_path

pytestmark = pytest.mark.django_db

BITS = 256
LETTERS = 64  # of the alphabet that such an address is written in
MADE = 300


def ask(client, url):
    answer = client.get(url)
    return answer.status_code, answer.content, answer.get("Content-Type")


@pytest.mark.parametrize("of", ["calendar", "invitation"])
def test_an_address_is_256_bits_of_chance(company, of):
    def made():
        seat = Membership.objects.create(studio=company.studio, role=Role.ASSISTANT)
        return Invitation.issue(seat, "a@b.example").split("/")[-2]

    tokens = [feed_token() if of == "calendar" else made() for _ in range(MADE)]
    assert len(set(tokens)) == MADE
    (length,) = {len(token) for token in tokens}
    assert length == math.ceil(BITS / math.log2(LETTERS))
    for at in range(length - 1):  # every place takes many letters: nothing in it is fixed or counts
        assert len({token[at] for token in tokens}) > LETTERS * 0.8
    shared = max(
        sum(one == other for one, other in zip(first, second, strict=True))
        for first, second in zip(tokens, tokens[1:], strict=False)
    )
    assert shared < 8


def test_neighbours_have_nothing_in_common(company):
    first, second = company.sam_student.feed_token, company.mia_student.feed_token
    assert first != second
    assert sum(one == other for one, other in zip(first, second, strict=True)) < 10


@pytest.mark.parametrize("name", ["student_feed", "studio_feed_calendar"])
def test_every_wrong_address_answers_alike(client, company, rows, name):
    right = rows["student_token" if name == "student_feed" else "studio_token"]
    other = rows["studio_token" if name == "student_feed" else "student_token"]
    wrong = {
        feed_token(),
        other,
        right[:-1],
        right + "A",
        right.swapcase(),
        right[:-1] + ("A" if right[-1] != "A" else "B"),
        str(company.sam_student.pk),
        str(company.studio.pk),
        "0",
        "none",
        "%",
        "' OR 1=1 --",
        "*",
    }
    assert ask(client, reverse(name, args=[right]))[0] == 200
    answers = {ask(client, reverse(name, args=[token])) for token in wrong}
    assert len(answers) == 1
    assert answers.pop()[0] == 404


@pytest.mark.parametrize(
    ("role", "renew", "key", "feed"),
    [
        ("owner", "student_feed_renew", "student", "student_feed"),
        ("owner", "studio_feed_renew", None, "studio_feed_calendar"),
    ],
)
def test_a_new_address_ends_the_old_one(clients, rows, role, renew, key, feed):
    old = rows["student_token" if key else "studio_token"]
    nobody = clients["nobody"]
    assert ask(nobody, reverse(feed, args=[old]))[0] == 200
    clients[role].post(reverse(renew, args=[rows[key]] if key else []))
    gone = ask(nobody, reverse(feed, args=[old]))
    assert gone == ask(nobody, reverse(feed, args=["none"]))
    assert gone[0] == 404


def test_asking_for_what_is_unchanged_tells_a_stranger_nothing(client, rows):
    right = client.get(reverse("student_feed", args=[rows["student_token"]]))
    headers = {"if-none-match": right["ETag"]}
    wrong = client.get(reverse("student_feed", args=["none"]), headers=headers)
    assert (wrong.status_code, "ETag" in wrong) == (404, False)


def test_wrong_invitations_answer_alike_over_or_never_made(client, company, clock_of):
    seat = Membership.objects.create(studio=company.studio, role=Role.ASSISTANT)
    first = Invitation.issue(seat, "new@studio.example")
    second = Invitation.issue(seat, "new@studio.example")
    assert ask(client, second)[0] == 200
    over = {first, second[:-2] + ("A/" if second[-2] != "A" else "B/")}
    over.add(reverse("invitation", args=["none"]))
    clock_of(second)
    over.add(second)
    answers = {ask(client, url) for url in over}
    assert len(answers) == 1
    assert answers.pop()[0] == 404


@pytest.fixture
def clock_of():
    """Let an invitation be over."""

    def end(url):
        invited = Invitation.open(url.split("/")[-2])
        invited.expires_at -= timedelta(days=60)
        invited.save()

    return end


def signed(value, salt):
    return signing.dumps(value, salt=salt)


def test_a_letters_address_opens_for_its_own_seat_alone(client, company, settings):
    right = stop_path(company.sam).split("/")[2]
    value, stamp, signature = right.split(":")
    wrong = [
        f"{value}:{stamp}:{signature[:-1]}",
        f"{value}:{stamp}:{'A' * len(signature)}",
        f"{signing.b64_encode(str(company.mia.pk).encode()).decode()}:{stamp}:{signature}",
        value,
        f"{value}:{stamp}:",
        "::",
        signed(company.sam.pk, "another purpose"),
        signing.dumps(company.sam.pk),
        str(company.sam.pk),
    ]
    settings.SECRET_KEY = "another site"  # noqa: S105
    wrong.append(signed(company.sam.pk, SALT))
    settings.SECRET_KEY = "for tests only"  # noqa: S105
    assert seat_at(right) == company.sam
    for token in wrong:
        assert seat_at(token) is None, token
        answer = client.post(reverse("mail_stop", args=[token]))
        assert answer.status_code == 404
    company.sam.refresh_from_db()
    assert company.sam.weekly_mail


def test_a_letters_address_is_no_key_to_anything_else(company):
    token = stop_path(company.sam).split("/")[2]
    client = Client()
    for name in ("student_feed", "studio_feed_calendar", "invitation"):
        assert client.get(reverse(name, args=[token])).status_code == 404
    client.get(reverse("mail_stop", args=[token]))
    assert "_auth_user_id" not in client.session
