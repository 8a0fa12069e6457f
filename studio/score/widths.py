"""How wide words are in the score's faces, so that they can be laid out without a browser.

The figures are the advance widths of the faces in static/fonts, in thousandths of the type size;
a test compares them with the files. Kerning is left out: it only makes words narrower.
"""

import re
import unicodedata
from functools import lru_cache

WIDEST = 1000  # for signs that are not in the table
ACCENT = 1.1  # an accented letter is at most so much wider than its letter
SIGNS = "".join(map(chr, range(32, 127))) + "–…’·ßæÆœŒøØłŁđĐı"

SANS = dict(zip(SIGNS, (
    200, 289, 426, 497, 497, 824, 609, 249, 303, 303, 418, 497, 249, 311, 249, 350, 497, 497, 497,
    497, 497, 497, 497, 497, 497, 497, 249, 249, 497, 497, 497, 425, 847, 543, 588, 571, 615, 527,
    494, 617, 652, 263, 479, 579, 486, 727, 647, 664, 566, 664, 569, 534, 536, 645, 515, 786, 513,
    476, 539, 303, 350, 303, 497, 500, 542, 504, 553, 456, 555, 496, 292, 504, 544, 246, 247, 495,
    255, 829, 547, 542, 555, 555, 347, 419, 338, 544, 467, 719, 446, 467, 425, 303, 241, 303, 497,
    480, 948, 249, 249, 576, 778, 822, 839, 847, 542, 664, 298, 500, 562, 635, 247,
), strict=True))  # fmt: skip

BOLD = dict(zip(SIGNS, (
    200, 315, 482, 513, 513, 841, 639, 275, 324, 324, 438, 513, 275, 322, 275, 344, 513, 513, 513,
    513, 513, 513, 513, 513, 513, 513, 275, 275, 513, 513, 513, 444, 875, 558, 597, 576, 625, 538,
    510, 628, 663, 282, 494, 597, 502, 745, 657, 674, 582, 674, 592, 545, 546, 655, 536, 800, 541,
    501, 540, 324, 344, 324, 513, 500, 549, 516, 563, 462, 564, 507, 317, 520, 558, 262, 263, 522,
    271, 843, 560, 549, 564, 564, 373, 431, 361, 556, 495, 748, 481, 495, 443, 324, 255, 324, 513,
    480, 964, 275, 275, 604, 780, 834, 830, 859, 549, 674, 329, 522, 564, 645, 262,
), strict=True))  # fmt: skip

ITALIC = dict(zip(SIGNS, (
    227, 305, 456, 573, 524, 928, 701, 259, 385, 385, 480, 534, 300, 314, 300, 339, 537, 537, 537,
    537, 537, 537, 537, 537, 537, 537, 300, 300, 534, 534, 534, 459, 880, 683, 622, 614, 703, 604,
    572, 669, 772, 365, 361, 688, 584, 935, 746, 674, 571, 674, 646, 505, 591, 725, 652, 917, 667,
    593, 561, 345, 331, 345, 534, 512, 400, 554, 524, 434, 557, 442, 325, 511, 580, 320, 275, 497,
    298, 869, 596, 526, 543, 520, 426, 383, 354, 597, 511, 777, 564, 515, 493, 390, 286, 390, 534,
    512, 820, 273, 300, 547, 719, 912, 791, 904, 526, 674, 298, 584, 557, 703, 320,
), strict=True))  # fmt: skip

FACES = {"sans": SANS, "bold": BOLD, "italic": ITALIC}


@lru_cache(maxsize=4096)
def width(text, size, face="sans"):
    """Return how wide `text` is at type size `size`; a little too much rather than too little."""
    return sum(_advance(sign, FACES[face]) for sign in text) * size / 1000


def _advance(sign, face):
    if sign in face:
        return face[sign]
    base = unicodedata.normalize("NFD", sign)[0]
    return face[base] * ACCENT if base in face else WIDEST


def shorten(text, room, size, face="sans"):
    """Return `text`, cut and ended with "…" where it is wider than `room`."""
    if width(text, size, face) <= room:
        return text
    kept = text
    while kept and width(f"{kept.rstrip()}…", size, face) > room:
        kept = kept[:-1]
    return f"{kept.rstrip()}…"


def wrap(text, room, size, face="sans", lines=2):
    """Return `text` in at most so many lines of width `room`; what is too long is shortened.

    Lines break at spaces and after hyphens.
    """
    parts, found = re.findall(r"\S+?-(?=\w)|\S+\s*", text), []
    while parts and len(found) < lines - 1:
        line = parts.pop(0)
        while parts and width((line + parts[0]).rstrip(), size, face) <= room:
            line += parts.pop(0)
        found.append(shorten(line.rstrip(), room, size, face))
    if parts:
        found.append(shorten("".join(parts).rstrip(), room, size, face))
    return tuple(found)
