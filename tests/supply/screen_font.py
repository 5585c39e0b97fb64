"""The drafting face for the screen, made from its file for paper: `python -m tests.supply.screen_font` writes it again.

A subset as WOFF, with the letters of Western names. Two features of OpenType: `frac` shows `11 1/2` with its fraction
raised and lowered and leaves the text as it is, where paper would show one (`formgen/drafting/typeset.py`); `tnum` sets
the figure 1 as wide as the others.
"""

from __future__ import annotations

import io
from pathlib import Path

from fontTools.feaLib.builder import addOpenTypeFeaturesFromString
from fontTools.pens.transformPen import TransformPen
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.subset import Options, Subsetter
from fontTools.ttLib import TTFont

FONTS = Path(__file__).parents[2] / "formgen" / "drafting" / "fonts"
PAPER, SCREEN = FONTS / "bench-gothic.ttf", FONTS / "screen.woff"
RAISED, LOWERED = "⁰¹²³⁴⁵⁶⁷⁸⁹", "₀₁₂₃₄₅₆₇₈₉"
#: What is taken beside Latin-1 (U+0020 to U+00FF): quotes, dashes, figures of fractions, signs of drawings; and what no
#: page uses.
MORE = "–—‘’“”′″−⁄\u2009⌀↑→" + RAISED + LOWERED
UNUSED = "¡¢£¤¥¦¨©ª«¬\u00ad®¯´¶¸º»¼½¾¿"
#: The longest number above or below the stroke.
DIGITS = 3
LICENCE = "SIL Open Font License, Version 1.1: see OFL.txt. Changed: see FONTLOG.txt."


def screen_font() -> bytes:
    """The file: the same bytes for the same file of the paper's face, with one release of fontTools and zlib."""
    font = TTFont(PAPER, recalcTimestamp=False)
    _add_wide_one(font)
    signs = {chr(code) for code in font.getBestCmap() if 0x20 <= code <= 0xFF} - set(UNUSED) | set(MORE)
    addOpenTypeFeaturesFromString(font, features(font))
    options = Options(layout_features=["frac", "tnum"], name_IDs=[0, 1, 2, 4, 5, 6], hinting=False, recalc_bounds=True)
    options.drop_tables += ["cvt ", "gasp"]
    subset = Subsetter(options)
    subset.populate(text="".join(signs))
    subset.subset(font)
    notice = str(font["name"].getDebugName(0)).split("\n\n")[0]
    for record in [record for record in font["name"].names if record.platformID == 1]:
        font["name"].names.remove(record)
    font["name"].setName(notice, 0, 3, 1, 0x409)
    font["name"].setName(LICENCE, 13, 3, 1, 0x409)
    font.flavor = "woff"
    held = io.BytesIO()
    font.save(held, reorderTables=True)
    return held.getvalue()


def features(font: TTFont) -> str:
    """The two features, in the language of Adobe's feature files."""
    names = font.getBestCmap()

    def of(signs: str) -> str:
        return "[" + " ".join(names[ord(sign)] for sign in signs) + "]"

    letters = "".join(chr(code) for code in names if chr(code).isalpha() and code < 0x250)
    spaces = " ".join(sorted({names[0x20], names[0xA0]}))
    numbers = ["@figure " * more for more in range(DIGITS)]
    no_fraction = [f"ignore sub @before @figure' {more} slash;" for more in numbers]
    for more in numbers:
        no_fraction += [
            f"ignore sub @figure' {more} slash {'@figure ' * below} @after;" for below in range(1, DIGITS + 1)
        ]
        no_fraction.append(f"ignore sub @figure' {more} slash {'@figure ' * (DIGITS + 1)};")
    raised = [f"sub @figure' lookup up {more} slash @figure;" for more in numbers]
    return f"""
        languagesystem DFLT dflt;
        languagesystem latn dflt;
        @figure = {of("0123456789")};
        @raised = {of(RAISED)};
        @lowered = {of(LOWERED)};
        @before = {of("0123456789/.,_" + letters)};
        @after = {of("/_" + letters)};
        lookup up {{ sub @figure by @raised; }} up;
        lookup down {{ sub @figure by @lowered; }} down;
        lookup stroke {{ sub slash by fraction; }} stroke;
        lookup thin {{ sub [{spaces}] by {names[0x2009]}; }} thin;
        feature frac {{
            lookup above {{ {" ".join(no_fraction + raised)} }} above;
            lookup between {{ sub @raised slash' lookup stroke @figure; }} between;
            lookup below {{ sub [fraction @lowered] @figure' lookup down; }} below;
            lookup before {{ sub @figure [{spaces}]' lookup thin @raised; }} before;
        }} frac;
        feature tnum {{ sub one by one.tnum; }} tnum;
    """


def _add_wide_one(font: TTFont) -> None:
    """A figure 1 in the middle of a cell as wide as that of the others."""
    (own, _), (wide, _) = font["hmtx"]["one"], font["hmtx"]["zero"]
    pen = TTGlyphPen(None)
    shift = (wide - own) // 2
    font.getGlyphSet()["one"].draw(TransformPen(pen, (1, 0, 0, 1, shift, 0)))
    glyph = pen.glyph()
    font.setGlyphOrder([*font.getGlyphOrder(), "one.tnum"])
    glyph.recalcBounds(font["glyf"])
    font["glyf"].glyphs["one.tnum"] = glyph
    font["hmtx"]["one.tnum"] = (wide, glyph.xMin)


if __name__ == "__main__":
    SCREEN.write_bytes(screen_font())
