"""Inviting somebody to their seat: a one-time link, and an e-mail that carries it."""

from django.core.mail import send_mail
from django.template.loader import render_to_string

from studio.accounts.models import INVITATION_DAYS, Invitation, Membership, Role
from studio.students.models import Accompanist, Guardian, Student

ROLES = {Student: Role.STUDENT, Guardian: Role.GUARDIAN, Accompanist: Role.ACCOMPANIST}
SUBJECTS = {
    Role.STUDENT: "Your part at",
    Role.GUARDIAN: "Your child’s part at",
    Role.ACCOMPANIST: "Your days at the piano for",
}


def problem(person):
    """Return why somebody cannot be invited, or None."""
    if not person.email:
        return f"{person.name} has no e-mail address yet. Write it down, then invite again."
    if person.signs_in:
        return f"{person.name} signs in already."
    return None


def invite(person, request):
    """Seat somebody of ROLES, issue a link, mail it, and return what the page shows."""
    if person.membership is None:
        role = ROLES[type(person)]
        person.membership = Membership.objects.create(studio=person.studio, role=role)
        person.save()
    link = request.build_absolute_uri(Invitation.issue(person.membership, person.email))
    return {
        "title": f"Invite {person.called}",
        "person": person,
        "link": link,
        "mailed": person.email if mail(person, link, request.who) else "",
    }


def mail(person, link, who):
    """Send the link; return whether the mail server took it."""
    role = ROLES[type(person)]
    words = {"person": person, "role": role, "link": link, "who": who, "days": INVITATION_DAYS}
    text = render_to_string("students/invitation.txt", words)
    subject = f"{SUBJECTS[role]} {' '.join(who.studio.name.split())}"
    return bool(send_mail(subject, text, None, [person.email], fail_silently=True))
