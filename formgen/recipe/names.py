"""Stage `recipe`: names as they are said in a shop: any case, hyphens or none, the trade's other names.

In: a name as typed, the shop's own names, the catalogue's names with their aliases. Out: the proper name; or the line
that asks which one is meant; or, for the screen, all names in columns with the lines that add one's own to the shop
file. Knows no kind of thing by name but those of these lines.
"""

from __future__ import annotations

import json
import re
import unicodedata
from collections.abc import Collection, Iterable, Mapping
from difflib import SequenceMatcher, get_close_matches

from formgen.quoted import escaped

#: The catalogue's names of one kind, each with its other names.
Said = Mapping[str, tuple[str, ...]]

#: Nearer than this a name is offered; columns of the screen; names in one line.
NEAR, SCREEN, MOST_IN_LINE = 0.5, 80, 8
#: Signs that are words: an inch mark behind a number, the slash of ½.
_SIGNS = str.maketrans({'"': " in ", "″": " in ", "”": " in ", "\u2044": "/", "'": "", "’": ""})
_WORD = re.compile(r"[0-9]+(?:[./,][0-9]+)*|[^\W\d_]+")
_LONGEST = 100

#: What a shop writes under its own name, by the shop file's table: its lines with the remark that explains them.
_OWN: Mapping[str, tuple[str, ...]] = {
    "woods": (
        "modulus: 11000 MPa      # of clear wood, along the grain",
        "strength: 90 MPa        # bending strength of clear wood",
        "specific_gravity: 0.60  # oven-dry, by the size at 12 %",
    ),
    "adhesives": (
        "like: epoxy             # the glue above that it is nearest to",
        "open_min: 20            # minutes, from its data sheet",
        "clamp_min: 300",
    ),
    "sheets": ("thickness: 18.2 mm      # as measured", "length: 2440 mm", "width: 1220 mm"),
    "between": ("thickness: 0.4 mm       # pressed flat", "folds: false            # true for the bag itself"),
}


def words(name: str) -> tuple[str, ...]:
    """Return what is compared of a name: `MDF 3/4"` and `mdf-3/4in` are both mdf, 3/4, in."""
    text = unicodedata.normalize("NFKC", name[:_LONGEST]).translate(_SIGNS).casefold()
    return tuple(_WORD.findall(text))


def proper(name: str, own: Collection[str], said: Said) -> str | None:
    """Return the proper name of what is said, None where none or several are meant.

    The name itself goes first, then the same words in any writing, then in any order; the shop's own before the
    catalogue's, and those before other names.
    """
    if name in own or name in said:
        return name
    asked = words(name)
    if not asked:
        return None
    groups: tuple[Iterable[tuple[str, str]], ...] = (
        [(n, n) for n in own],
        [(n, n) for n in said],
        [(other, n) for n, others in said.items() for other in others],
    )
    for in_order in (True, False):
        for group in groups:
            found = {n for text, n in group if _same(words(text), asked, in_order=in_order)}
            if found:
                return found.pop() if len(found) == 1 else None
    return None


def _same(one: tuple[str, ...], other: tuple[str, ...], *, in_order: bool) -> bool:
    return one == other if in_order else sorted(one) == sorted(other)


def sharing(name: str, own: Collection[str], said: Said) -> tuple[str, ...]:
    """List whatever has all words of a name, own first: of `oak` every oak."""
    asked = set(words(name))
    if not asked:
        return ()
    theirs = sorted((n for n, others in said.items() if any(asked <= set(words(t)) for t in (n, *others))), key=_plain)
    return (*(n for n in own if asked <= set(words(n))), *(n for n in theirs if n not in own))


def expected_name(got: str, what: str, own: Collection[str], said: Said, table: str | None = None) -> str:
    """`expected …; what to do` for a name that is not known: which one of several, or the nearest.

    Args:
        got: the name as typed.
        what: what it should be a name of, `wood`.
        own: the shop's own names.
        said: the catalogue's.
        table: the shop file's table for one's own, None where there is none.
    """
    yours = " (or describe it in shop.yaml)" if table is not None else ""
    which = sharing(got, own, said)
    if which:
        return f"expected which {escaped(got)} it is: {_listed(which)}; write the whole name{yours}"
    known = (*own, *said)
    near = _nearest(got, own, said)
    advice = f"did you mean {' or '.join(near)}?" if near else f"known are {', '.join(known[:MOST_IN_LINE])}"
    article = "an" if what[0] in "aeiou" else "a"
    return f"expected the name of {article} {what}; {advice}{yours}"


def _listed(names: tuple[str, ...]) -> str:
    names = tuple(f'"{name}"' if "," in name else name for name in map(escaped, names))
    if len(names) > MOST_IN_LINE:
        return f"{', '.join(names[:MOST_IN_LINE])} or {len(names) - MOST_IN_LINE} more"
    return " or ".join(filter(None, [", ".join(names[:-1]), names[-1]]))


def _nearest(got: str, own: Collection[str], said: Said) -> list[str]:
    """The three nearest proper names, by whichever of their names is near."""
    of = {_plain(n): n for n in own} | {_plain(t): n for n, others in said.items() for t in (n, *others)}
    near = get_close_matches(_plain(got), of, n=3, cutoff=NEAR)
    return list(dict.fromkeys(of[text] for text in near))


def _plain(name: str) -> str:
    return " ".join(words(name))


def listing(got: str, kinds: str, own: Collection[str], said: Said, table: str | None, *, begun: bool) -> str:
    """Return all names of a kind in columns, nearest first, and the lines that add one's own: what a screen shows.

    Args:
        got: the name that was not known.
        kinds: what is listed, `woods`.
        own: the shop's own names.
        said: the catalogue's.
        table: the shop file's table for one's own, None where there is none.
        begun: there is a shop file already, which says its format.
    """
    asked = _plain(got)
    likeness = {
        n: max(SequenceMatcher(None, asked, _plain(text)).ratio() for text in (n, *said.get(n, ())))
        for n in (*own, *said)
    }
    nearest = sorted(likeness, key=lambda n: (-likeness[n], _plain(n)))
    lines = [f"All {kinds}, the nearest first:", *in_columns([escaped(n) for n in nearest])]
    if table is not None:
        lines += ["", "One of your own, in shop.yaml beside the recipe, with your figures:"]
        lines += _own_lines(got, table, begun=begun)
    return "\n".join(lines)


def in_columns(names: Iterable[str], width: int = SCREEN) -> list[str]:
    """Names in lines of equal columns, read across."""
    shown = list(names)
    wide = max((len(name) for name in shown), default=0) + 2
    across = max((width - 2) // wide, 1)
    rows = [shown[i : i + across] for i in range(0, len(shown), across)]
    return ["  " + "".join(name.ljust(wide) for name in row).rstrip() for row in rows]


def _own_lines(got: str, table: str, *, begun: bool) -> list[str]:
    key = got if re.fullmatch(r"[A-Za-z][A-Za-z0-9 -]{0,39}", got) and got == got.strip() else json.dumps(escaped(got))
    if key.lower() in ("true", "false", "null"):
        key = f'"{key}"'
    head = [] if begun else ["format: 1"]
    return [f"  {line}" for line in (*head, f"{table}:", f"  {key}:", *(f"    {line}" for line in _OWN[table]))]
