"""The questions of `formgen new`, in the order in which a joiner answers them.

In: a person at a terminal. Out: answers as they were typed. A wrong answer is asked again with the sentence that the
recipe's check would say. Everything is said on standard error, as all that is for people.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

import click

from formgen.cli.exit_codes import tell_people
from formgen.cli.new.probe import plainly, recipe_of, said_to
from formgen.cli.new.shown import answer_lines
from formgen.errors import FormgenError
from formgen.quoted import escaped
from formgen.recipe.catalogue import arches, woods
from formgen.recipe.lie import CALLED, DEPTH, DRAWINGS, THICKNESS, Lies
from formgen.recipe.load import load_shop
from formgen.recipe.start import UNANSWERED
from formgen.recipe.strict import checked_name

#: Columns are set so wide.
_WIDE = 78
#: Arches whose sizes are a few lengths; readings, drawings and chains are typed into the recipe.
_IN_A_RECIPE = ("chain", "points", "drawing")
_FACES = {"inside": "the opening's own face", "outside": "the far face", "centre": "the middle of the part"}
_WAYS = {
    "part-bagged": "the bag round the part alone, the form outside it",
    "form-bagged": "form and part in one bag",
    "clamped": "no bag: clamps through a caul",
}
_RUNS = {"plumb": "upright, a part of its own below the head", "tangent": "on as the curve ends, in one with it"}
_UNITS = {"in": "inches", "mm": "millimetres"}
#: Sizes that a kind may be given and that are asked for after what it must be given.
_OPTIONAL = {"three-centred": ("rise",), "pointed": ("rise",)}


def ask_name() -> str:
    """Ask what the recipe is called until it can be a folder's name."""
    while True:
        name: str = click.prompt("Name of the part", err=True).strip()
        try:
            return checked_name(name)
        except ValueError as err:
            tell_people(f"  name = {escaped(name)}, {err}")


class Asking:
    """The answers so far, and the questions."""

    def __init__(self, answers: dict[str, str], shop: Path | None) -> None:
        """Begin with what is answered already; the shop file, where there is one, knows more names."""
        self.answers = answers
        self.shop = shop

    def ask_all(self) -> Lies:
        """Ask for the part until there is a form for it, show what it becomes, and return the way in which it lies."""
        if "units" not in self.answers:
            self._pick("units", "Units", _UNITS, "in")
        lies = _pick_lie()
        while True:
            self._ask_arch()
            self._ask("part.depth", DEPTH[lies])
            self._ask("laminate.thickness", THICKNESS[lies], curve=True)
            self._pick("laminate.wood", "Wood", dict.fromkeys(self._woods(), ""), "white oak")
            self._pick("press.way", "How is it pressed?", _WAYS, UNANSWERED["press.way"])
            if self._shown():
                return lies

    def _woods(self) -> list[str]:
        own = load_shop(self.shop).woods if self.shop is not None else {}
        return [*own, *woods()]

    def _ask_arch(self) -> None:
        """The arch with its sizes, until such a curve exists."""
        answers = self.answers
        before = {key: answers.pop(key) for key in list(answers) if key.startswith(("part.arch.", "part.legs"))}
        kinds = {name: kind.what for name, kind in arches().items() if name not in _IN_A_RECIPE}
        _list("Arch", kinds)
        kind = _one_of(
            kinds, before.get("part.arch.kind", "segmental"), lambda typed: self._says("part.arch.kind", typed)
        )
        answers["part.arch.kind"] = kind
        self._pick("part.measured_on", "On which face was it measured?", _FACES, "inside")
        needed, optional = _sizes(kind), _OPTIONAL.get(kind, ())
        for size in (*needed, *optional):
            key = f"part.arch.{size}"
            hint = " (Enter: as it is usually struck)" if size in optional else ""
            what = f"{size.replace('_', ' ').capitalize()}{hint}"
            whole = size == needed[-1] or size in optional
            while True:
                typed = _typed(what, before.get(key) or ("" if hint else None))
                if hint and not typed:
                    break
                said = self._says(key, typed)
                if not _refused(said or (self._says(key, typed, under="part.arch", curve=True) if whole else "")):
                    answers[key] = typed
                    break
        self._ask_legs(before.get("part.legs", "0"))

    def _ask_legs(self, default: str) -> None:
        while True:
            typed = _typed("Straight legs below the springing, 0 for none", default)
            if _refused(self._says("part.legs", typed)):
                continue
            said = self._says("part.legs", typed, curve=True)
            self.answers["part.legs"] = typed
            if "run: plumb" in said:
                tell_people("It springs at an angle.")
                self._pick("part.legs.run", "How do the legs stand?", _RUNS, "plumb")
                said = self._says("part.legs", typed, curve=True)
            if not _refused(said):
                return
            self.answers.pop("part.legs.run", None)

    def _ask(self, key: str, what: str, *, curve: bool = False) -> None:
        """One value, until the check has nothing against it."""
        while True:
            typed = _typed(what, self.answers.get(key))
            if not _refused(self._says(key, typed, curve=curve)):
                self.answers[key] = typed
                return

    def _pick(self, key: str, what: str, choices: Mapping[str, str], default: str) -> None:
        """One of several by number or name, until the check has nothing against it."""
        _list(what, choices)
        while True:
            typed = _picked(choices, self.answers.get(key, default))
            if not _refused(self._says(key, typed)):
                self.answers[key] = typed
                return

    def _says(self, key: str, typed: str, *, under: str = "", curve: bool = False) -> str:
        """The sentence of the recipe's check on an answer; empty where it has none."""
        return said_to({**self.answers, key: typed}, under or key, self.shop, curve=curve)

    def _shown(self) -> bool:
        """Show what the part becomes; false where the program refuses it, with the sentence."""
        try:
            recipe, mistakes = recipe_of({**UNANSWERED, **self.answers}, self.shop)
            if recipe is None:
                tell_people(f"  {mistakes[0].message}")
                return False
            for line in answer_lines(recipe):
                tell_people(f"  {line}")
        except FormgenError as err:
            tell_people(f"  {plainly(err)}\n  Change what it names; Enter keeps an answer.")
            return False
        return True


def _pick_lie() -> Lies:
    for lies, drawing in DRAWINGS.items():
        tell_people(f"\n{lies}: {CALLED[lies]}\n\n{drawing}")
    choices = {str(lies): said for lies, said in CALLED.items()}
    tell_people("")
    _list("Which way does it lie?", choices)
    return "casing" if _one_of(choices, "liner", lambda _: "") == "casing" else "liner"


def _sizes(kind: str) -> Sequence[str]:
    """List what a kind must be given: the first way that its entry names, span and rise before a radius."""
    first = arches()[kind].give[0]
    return [word for word in re.findall("[a-z_]+", first) if word != "and"]


def _list(what: str, choices: Mapping[str, str]) -> None:
    """The choices with their numbers, a line each; in columns where they are names alone."""
    width = max(len(name) for name in choices)
    tell_people(what)
    lines = [f"  {n:>2}  {name.ljust(width)}  {said}".rstrip() for n, (name, said) in enumerate(choices.items(), 1)]
    if any(choices.values()):
        tell_people("\n".join(lines))
        return
    across = max(1, _WIDE // (width + 8))
    high = -(-len(lines) // across)
    for row in range(high):
        tell_people("".join(line.ljust(width + 8) for line in lines[row::high]).rstrip())


def _one_of(choices: Mapping[str, str], default: str, says: Callable[[str], str]) -> str:
    """One of the choices and nothing else; what else is typed is refused by the check, or by their names."""
    while True:
        typed = _picked(choices, default)
        if typed.casefold() in choices:
            return typed.casefold()
        said = says(typed)
        listed = f"{escaped(typed)}, expected one of those above; write its number or name"
        _refused(said if said and "is missing" not in said else listed)


def _picked(choices: Mapping[str, str], default: str) -> str:
    """A choice as it was typed, a number turned into its name; asked again where the number is none of them."""
    names = list(choices)
    while True:
        typed = _typed("Number or name", default)
        if not re.fullmatch("[0-9]+", typed):
            return typed
        if 1 <= int(typed) <= len(names):
            return names[int(typed) - 1]
        _refused(f"{typed}, expected a number from 1 to {len(names)}, or a name")


def _typed(what: str, default: str | None) -> str:
    text: str = click.prompt(what, default=default, err=True)
    return text.strip()


def _refused(said: str) -> bool:
    if said:
        tell_people(f"  {said}")
    return bool(said)
