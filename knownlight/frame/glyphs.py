"""A small bitmap alphabet, five by seven, drawn for this project.

Labels are made of it so that every pixel of a label is a stated code; outline fonts have soft edges.
"""

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

GLYPH_WIDTH = 5
GLYPH_HEIGHT = 7
ADVANCE = GLYPH_WIDTH + 1

_ROWS: dict[str, str] = {
    " ": "..... ..... ..... ..... ..... ..... .....",
    "0": ".###. #...# #...# #.#.# #...# #...# .###.",
    "1": "..#.. .##.. ..#.. ..#.. ..#.. ..#.. .###.",
    "2": ".###. #...# ....# ...#. ..#.. .#... #####",
    "3": "####. ....# ....# .###. ....# ....# ####.",
    "4": "...#. ..##. .#.#. #..#. ##### ...#. ...#.",
    "5": "##### #.... ####. ....# ....# #...# .###.",
    "6": "..##. .#... #.... ####. #...# #...# .###.",
    "7": "##### ....# ...#. ..#.. ..#.. .#... .#...",
    "8": ".###. #...# #...# .###. #...# #...# .###.",
    "9": ".###. #...# #...# .#### ....# ...#. .##..",
    "A": ".###. #...# #...# ##### #...# #...# #...#",
    "B": "####. #...# #...# ####. #...# #...# ####.",
    "C": ".###. #...# #.... #.... #.... #...# .###.",
    "D": "###.. #..#. #...# #...# #...# #..#. ###..",
    "E": "##### #.... #.... ####. #.... #.... #####",
    "F": "##### #.... #.... ####. #.... #.... #....",
    "G": ".###. #...# #.... #.### #...# #...# .####",
    "H": "#...# #...# #...# ##### #...# #...# #...#",
    "I": ".###. ..#.. ..#.. ..#.. ..#.. ..#.. .###.",
    "J": "..### ...#. ...#. ...#. ...#. #..#. .##..",
    "K": "#...# #..#. #.#.. ##... #.#.. #..#. #...#",
    "L": "#.... #.... #.... #.... #.... #.... #####",
    "M": "#...# ##.## #.#.# #.#.# #...# #...# #...#",
    "N": "#...# ##..# ##..# #.#.# #..## #..## #...#",
    "O": ".###. #...# #...# #...# #...# #...# .###.",
    "P": "####. #...# #...# ####. #.... #.... #....",
    "Q": ".###. #...# #...# #...# #.#.# #..#. .##.#",
    "R": "####. #...# #...# ####. #.#.. #..#. #...#",
    "S": ".#### #.... #.... .###. ....# ....# ####.",
    "T": "##### ..#.. ..#.. ..#.. ..#.. ..#.. ..#..",
    "U": "#...# #...# #...# #...# #...# #...# .###.",
    "V": "#...# #...# #...# #...# #...# .#.#. ..#..",
    "W": "#...# #...# #...# #.#.# #.#.# ##.## #...#",
    "X": "#...# #...# .#.#. ..#.. .#.#. #...# #...#",
    "Y": "#...# #...# .#.#. ..#.. ..#.. ..#.. ..#..",
    "Z": "##### ....# ...#. ..#.. .#... #.... #####",
    ".": "..... ..... ..... ..... ..... .##.. .##..",
    ",": "..... ..... ..... ..... .##.. ..#.. .#...",
    "-": "..... ..... ..... ##### ..... ..... .....",
    "+": "..... ..#.. ..#.. ##### ..#.. ..#.. .....",
    "%": "##..# ##.#. ...#. ..#.. .#... .#.## #..##",
    "/": "....# ...#. ...#. ..#.. .#... .#... #....",
    ":": "..... .##.. .##.. ..... .##.. .##.. .....",
}


@lru_cache(maxsize=256)
def text_mask(text: str, scale: int) -> NDArray[np.bool_]:
    """Lit pixels of a line of text; `scale` pixels a dot. Read-only.

    Shape is (7 * scale, (6 * letters - 1) * scale). Letters without a glyph raise KeyError.
    """
    dots = np.zeros((GLYPH_HEIGHT, ADVANCE * len(text) - 1), dtype=np.bool_)
    for index, letter in enumerate(text):
        for row, pattern in enumerate(_ROWS[letter].split()):
            for column, dot in enumerate(pattern):
                dots[row, index * ADVANCE + column] = dot == "#"
    mask = dots.repeat(scale, axis=0).repeat(scale, axis=1)
    mask.setflags(write=False)
    return mask


def missing_glyph(text: str) -> str:
    """The first letter of a text that there is no glyph of; empty where there are all."""
    return next((letter for letter in text if letter not in _ROWS), "")


def text_size(text: str, scale: int) -> tuple[int, int]:
    """Width and height in pixels, by arithmetic."""
    return (ADVANCE * len(text) - 1) * scale, GLYPH_HEIGHT * scale


def lit_pixels(text: str, scale: int) -> int:
    """How many pixels of a line of text are lit: dots counted in the alphabet, times the dot's area."""
    return sum(_ROWS[letter].count("#") for letter in text) * scale * scale
