"""Problems for `planner.repertoire`, made from a seed: small ones with every kind of constraint,
and typical ones as large as one asks for. All of it is invented.
"""

from dataclasses import replace
from random import Random

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

KINDS = ("solo", "etude", "excerpt")
PACES = ("slow", "fast", "lively")


# ---- small: every kind of constraint, some facts not known, a good part of them impossible


def small(seed: int, pieces: int = 8, auditions: int = 3) -> Problem:
    """Return a problem of at most so many pieces and auditions, with anything in it."""
    dice = Random(f"small {seed}")
    library = tuple(_odd_piece(dice, n) for n in range(dice.randint(5, pieces)))
    keys = [piece.key for piece in library]
    pinned = tuple(dice.sample(keys, dice.choice((0, 0, 0, 1, 2))))
    banned = tuple(
        key for key in dice.sample(keys, dice.choice((0, 0, 0, 1, 1, 2))) if key not in pinned
    )
    return Problem(
        pieces=library,
        auditions=tuple(
            _odd_audition(dice, n, library) for n in range(dice.choice((1, 2, auditions)))
        ),
        pinned=pinned,
        banned=banned,
        preferred=tuple(key for key in keys if dice.random() < 0.3 and key not in banned),
        frontier=True,
        seconds=30.0,
    )


def _odd_piece(dice, n):
    composer = dice.choice(("Arnolt", "Brix", "Cormery") * 4 + ("",))
    return Piece(
        key=f"p{n}",
        name=f"Piece {n}",
        prep=dice.choice((0, 0, *range(1, 12), 30, 60)),
        kind=dice.choice(KINDS[:2]),
        composer=composer,
        work=dice.choice(("Sonata", "Suite", "Duo") * 4 + ("",)),
        year=dice.choice((1720, 1810, 1890, 1990) * 3 + (None,)),
        character=tuple(dice.sample(PACES, dice.choice((0, 1, 1, 1, 1, 1, 1, 2)))),
        seconds=dice.choice((60, 120, 120, 180, 240, 300) * 2 + (None,)),
    )


def _odd_audition(dice, n, library):
    hearings = tuple(_odd_hearing(dice, h, library) for h in range(dice.choice((1, 1, 1, 2, 2, 3))))
    return Audition(
        key=f"a{n}",
        name=f"Audition {n}",
        hearings=hearings,
        again=dice.choice((Again.MAY, *Again)),
        worth=dice.randint(1, 4),
    )


def _odd_hearing(dice, h, library):
    groups = [
        Group(f"g{n}", f"Group {n}", *dice.choice(((None, None), (1, None), (1, 2), (0, 1))))
        for n in range(dice.choice((0, 0, 1, 2)))
    ]
    if len(groups) == 2 and dice.random() < 0.5:
        groups[1] = replace(groups[1], inside="g0")
    slots = tuple(
        _odd_slot(dice, f"s{n}", library, dice.choice([None, *(group.key for group in groups)]))
        for n in range(dice.randint(1, 3))
    )
    inside = [node.inside for node in (*slots, *groups)]
    groups = tuple(_possible(group, inside.count(group.key)) for group in groups)
    groups = tuple(group for group in groups if group.key in inside)
    slots = tuple(slots)
    scopes = [None, *(node.key for node in (*slots, *groups))]
    together = tuple(
        _odd_together(dice, n, dice.choice(scopes)) for n in range(dice.choice((0, 1, 1, 2)))
    )
    return Hearing(f"h{h}", f"Round {h}", slots, groups, together, dice.random() < 0.3)


def _possible(group, children):
    if group.least is None:
        return group
    most = None if group.most is None else min(group.most, children)
    return replace(group, least=min(group.least, children), most=most)


def _odd_slot(dice, key, library, inside):
    least, most = dice.choice(((1, None),) * 5 + ((2, None), (1, 2), (1, 2), (0, 1)))
    judged = {piece.key: dice.random() < 0.5 for piece in library if dice.random() < 0.1}
    return Slot(
        key=key,
        name=f"Slot {key}",
        kind=dice.choice(("",) * 4 + KINDS[:2]),
        least=least,
        most=most,
        inside=inside,
        rules=tuple(_odd_rule(dice, library) for _ in range(dice.choice((0, 0, 0, 1, 1, 2)))),
        judged=judged or None,
    )


def _odd_rule(dice, library):
    barred = dice.random() < 0.2
    about = dice.choice((About.COMPOSER, About.CHARACTER, About.YEARS, About.MINUTES, About.PIECE))
    if about is About.YEARS:
        least, most = dice.choice(((1800, None), (None, 1900), (1700, 1850)))
        return Rule(about, least=least, most=most, barred=barred)
    if about is About.MINUTES:
        least, most = dice.choice(((120, None), (None, 180), (100, 240)))
        return Rule(about, least=least, most=most, barred=barred)
    words = {
        About.COMPOSER: ("Arnolt", "brix"),
        About.CHARACTER: PACES,
        About.PIECE: tuple(piece.key for piece in library),
    }[about]
    number = max(1, len(library) * 2 // 3) if about is About.PIECE else dice.choice((1, 2))
    return Rule(about, words=tuple(dice.sample(words, number)), barred=barred)


def _odd_together(dice, n, scope):
    binding = dice.choice(tuple(Binding))
    least, most, rules = None, None, ()
    if binding is Binding.LENGTH:
        least, most = dice.choice(((None, 400), (None, 500), (180, None), (180, 480)))
    elif binding is Binding.AT_LEAST:
        least = dice.choice((1, 1, 1, 2))
    elif binding is Binding.AT_MOST:
        most = dice.choice((0, 1, 1))
    if binding in (Binding.AT_LEAST, Binding.AT_MOST):
        rules = (
            dice.choice(
                (
                    Rule(About.YEARS, most=1850),
                    Rule(About.COMPOSER, words=("ARNOLT",)),
                    Rule(About.CHARACTER, words=("slow",)),
                )
            ),
        )
    return Together(f"{binding} {n}", binding, scope, least, most, rules)


# ---- typical: what a season looks like


def typical(
    seed: int, auditions: int = 8, slots: int = 5, pieces: int = 40, hard: bool = False
) -> Problem:
    """Return a problem in which every audition can be covered.

    Slots ask for a piece of a list that institutions share, of a list of the institution's own,
    or of a kind, century or character. Two slots of most auditions contrast or are by different
    composers; most hearings have a limit of length. hard: more lists of their own and tight
    limits.
    """
    dice = Random(f"typical {seed} {auditions} {slots} {pieces} {hard}")
    library = tuple(_piece(dice, n, max(6, pieces // 5)) for n in range(pieces))
    lists = _lists(dice, library)
    return Problem(
        pieces=library,
        auditions=tuple(_audition(dice, n, slots, library, lists, hard) for n in range(auditions)),
        marginals=False,
        seconds=60.0,
    )


def _piece(dice, n, composers):
    kind = dice.choice(KINDS)
    seconds = 10 * dice.randint(*{"solo": (18, 60), "etude": (9, 24), "excerpt": (4, 15)}[kind])
    whole = seconds * dice.uniform(2.0, 5.5)
    ready = dice.choice((0, 0, 0, 0.2, 0.4, 0.7))
    return Piece(
        key=f"p{n:03}",
        name=f"Piece {n}",
        prep=max(15, round(whole * (1 - ready))),
        kind=kind,
        instrument="trombone",
        composer=f"Composer{dice.randrange(composers)}",
        work=f"Work {n // 2}",
        year=dice.randint(1700, 2010),
        character=(dice.choice(PACES[:2]),),
        seconds=seconds,
    )


def _lists(dice, library):
    lists, root = [], round(len(library) ** 0.5)
    for kind in KINDS:
        keys = [piece.key for piece in library if piece.kind == kind]
        for _ in range(max(2, len(library) // 20)):
            number = min(len(keys), dice.randint(root, 2 * root))
            lists.append((kind, tuple(dice.sample(keys, number))))
    return lists


def _audition(dice, n, slots, library, lists, hard):
    # Drawn again until a plan of one's own can be laid into it.
    while True:
        nodes = [_slot(dice, f"s{i}", library, lists, hard) for i in range(slots)]
        pair = dice.random() < 0.7 and slots > 1
        if pair:
            nodes[:2] = [replace(slot, inside="pair", least=1) for slot in nodes[:2]]
        binding = dice.choice((Binding.CONTRASTING, Binding.COMPOSERS, Binding.CONTRASTING))
        lengths = [
            length
            for _ in range(12)
            if (length := _laid(dice, nodes, library, binding if pair else None)) is not None
        ]
        if lengths:
            break
    groups = (Group("pair", "Two that contrast"),) if pair else ()
    together = [Together("the two contrast", binding, "pair")] if pair else []
    if dice.random() < 0.6 or hard:
        most = min(lengths) if hard else max(lengths)
        together.append(Together("the limit", Binding.LENGTH, None, most=most))
    hearing = Hearing("live", "Live", tuple(nodes), groups, tuple(together))
    return Audition(f"a{n:02}", f"Audition {n}", (hearing,), worth=dice.randint(1, 5))


def _slot(dice, key, library, lists, hard):
    kind = dice.choice(KINDS)
    way = dice.choices(("shared", "own", "open"), (2, 5, 1) if hard else (6, 1, 2))[0]
    if way == "shared":
        kind, keys = dice.choice(lists)
        rule = Rule(About.PIECE, words=keys)
    elif way == "own":
        keys = [piece.key for piece in library if piece.kind == kind]
        number = min(len(keys), round(len(library) ** 0.5))
        rule = Rule(About.PIECE, words=tuple(dice.sample(keys, number)))
    else:
        rule = dice.choice(
            (
                Rule(About.YEARS, most=1800),
                Rule(About.YEARS, least=1900),
                Rule(About.CHARACTER, words=(dice.choice(PACES[:2]),)),
            )
        )
    least = 2 if dice.random() < 0.15 else 1
    return Slot(key, f"Slot {key}", kind, least, instrument="trombone", rules=(rule,))


def _laid(dice, nodes, library, binding):
    """Return the seconds of pieces laid into the slots at random, None where that fails."""
    used = []
    for number, slot in enumerate(nodes):
        free = [piece for piece in library if _suits(piece, slot) and piece not in used]
        if number == 1 and binding is Binding.CONTRASTING:
            free = [piece for piece in free if piece.character != used[0].character]
        if number == 1 and binding is Binding.COMPOSERS:
            free = [piece for piece in free if piece.composer != used[0].composer]
        if len(free) < slot.least:
            return None
        used += dice.sample(free, slot.least)
    return sum(piece.seconds for piece in used)


def _suits(piece, slot):
    (rule,) = slot.rules
    if piece.kind != slot.kind:
        return False
    if rule.about is About.PIECE:
        return piece.key in rule.words
    if rule.about is About.CHARACTER:
        return piece.character == rule.words
    return (rule.least or 0) <= piece.year <= (rule.most or 9999)
