"""Inviting a student to their part: a seat, a one-time link, and an e-mail that carries it."""

from django.core.mail import send_mail
from django.template.loader import render_to_string

from studio.accounts.models import INVITATION_DAYS, Invitation, Membership, Role


def problem(student):
    """Return why `student` cannot be invited, or None."""
    if not student.email:
        return f"{student.name} has no e-mail address yet. Write it down, then invite again."
    if student.membership and student.membership.user_id:
        return f"{student.name} signs in already."
    return None


def invite(student, request):
    """Seat `student`, issue a link, mail it, and return what the page shows."""
    if student.membership is None:
        student.membership = Membership.objects.create(studio=student.studio, role=Role.STUDENT)
        student.save()
    link = request.build_absolute_uri(Invitation.issue(student.membership, student.email))
    return {
        "title": f"Invite {student.called}",
        "student": student,
        "link": link,
        "mailed": student.email if mail(student, link, request.who) else "",
    }


def mail(student, link, who):
    """Send the link to the student; return whether the mail server took it."""
    words = {"student": student, "link": link, "who": who, "days": INVITATION_DAYS}
    text = render_to_string("students/invitation.txt", words)
    subject = f"Your part at {' '.join(who.studio.name.split())}"
    return bool(send_mail(subject, text, None, [student.email], fail_silently=True))
