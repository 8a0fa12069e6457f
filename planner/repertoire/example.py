"""A worked problem: an invented clarinettist with three auditions and twelve pieces."""

from planner.repertoire.model import (
    Again,
    Audition,
    Binding,
    Group,
    Hearing,
    Piece,
    Problem,
    Slot,
    Together,
)
from planner.repertoire.rules import About, Rule


def example() -> Problem:
    """Return a season with a closed list, contrasting etudes, a screening and a choice."""
    return Problem(
        pieces=_library(),
        auditions=(_fairmont(), _harlow(), _westbrook()),
        pinned=("polka",),
        preferred=("ballade",),
        frontier=True,
    )


def _library() -> tuple[Piece, ...]:
    def solo(key, composer, work, section, prep, minutes, genre, period):
        return Piece(
            key, f"{composer}, {work}", prep, "solo", "clarinet", composer, work, section,
            genre=genre, period=period, seconds=60 * minutes, piano="with piano",
        )  # fmt: skip

    def study(number, character, prep, minutes):
        return Piece(
            f"study{number}", f"Orlov, Study {number}", prep, "etude", "clarinet", "Orlov",
            "Twelve Studies", f"No. {number}", "Twelve Studies", character=character,
            seconds=60 * minutes, piano="without piano",
        )  # fmt: skip

    def excerpt(key, composer, work, prep):
        return Piece(key, f"{composer}, {work}", prep, "excerpt", "clarinet", composer, work)

    return (
        solo(
            "concerto1", "Marten", "Concerto in E flat", "1st movement", 900, 8, "concerto",
            "Romantic",
        ),
        solo(
            "concerto2", "Marten", "Concerto in E flat", "2nd movement", 420, 6, "concerto",
            "Romantic",
        ),
        solo("sonata1", "Veld", "Sonata", "1st movement", 720, 7, "sonata", "20th century"),
        solo("ballade", "Ostrava", "Ballade", "", 480, 6, "character piece", "Romantic"),
        solo("polka", "Quist", "Polka", "", 60, 3, "character piece", "20th century"),
        study(1, ("lyrical",), 150, 3),
        study(2, ("technical",), 300, 2),
        study(5, ("lyrical", "slow"), 120, 4),
        study(8, ("technical",), 240, 2),
        excerpt("scherzo", "Hale", "Symphony No. 2", 200),
        excerpt("nocturne", "Hale", "Symphony No. 3", 150),
        excerpt("dance", "Brandt", "Dance Suite", 180),
    )  # fmt: skip


def _fairmont() -> Audition:
    concerto = Rule(About.GENRE, ("concerto",))
    slots = (
        Slot("f-solo", "First movement of a concerto", "solo", instrument="clarinet",
             rules=(concerto, Rule(About.SECTION, ("first movement",)))),
        Slot("f-studies", "Two contrasting studies", "etude", 2, instrument="clarinet"),
    )  # fmt: skip
    contrasting = Together("contrasting", Binding.CONTRASTING, "f-studies")
    live = Hearing("f-live", "live", slots, together=(contrasting,))
    return Audition("fairmont", "Fairmont School", (live,), worth=3)


def _harlow() -> Audition:
    modern = Rule(About.PERIOD, ("20th century",))
    screening = Hearing(
        "h-video", "screening", (Slot("h-one", "A solo with piano", "solo", piano="with piano"),)
    )
    live = Hearing(
        "h-live",
        "live",
        (Slot("h-solos", "Two or three solos", "solo", 2, 3),),
        together=(
            Together("composers", Binding.COMPOSERS, "h-solos"),
            Together("one modern", Binding.AT_LEAST, "h-solos", least=1, rules=(modern,)),
            Together("twelve minutes", Binding.LENGTH, "h-solos", most=12 * 60),
        ),
    )
    return Audition("harlow", "Harlow Conservatory", (screening, live), Again.MUST, worth=2)


def _westbrook() -> Audition:
    slots = (
        Slot("w-study", "A study", "etude"),
        Slot("w-solo", "A solo", "solo", inside="w-choice"),
        Slot("w-excerpts", "Three excerpts", "excerpt", 3, inside="w-choice"),
    )
    choice = Group("w-choice", "A solo or three excerpts", least=1)
    return Audition("westbrook", "Westbrook Band", (Hearing("w-live", "live", slots, (choice,)),))
