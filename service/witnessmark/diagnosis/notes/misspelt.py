"""Words of alarm with one slip: a closed list of right spellings, one bounded rule, real words that are none of them.

Both words are written as they sound (doubled letters single, `ck`, `c`, `q` as k, `z` as s, `y` as i, `ph` as f), then
one letter may be missing, too many, wrong, or two neighbours swapped (Damerau 1964). Of short words only a swap, or
what sounds the same, is believed: `fier`, `fyre`, not `fine`. Deterministic; one look-up
a word, whatever the list holds.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field

_ENOUGH = 5
"""Letters, as they sound, from which any slip is believed."""
_SHORTEST, _LONGEST = 3, 16
_LONG_WORD = 7
_ENDINGS = ("", "s", "ed", "ing")
_SOUNDS = (("ph", "f"), ("ck", "k"), ("sch", "sh"), ("qu", "k"), ("c", "k"), ("q", "k"), ("z", "s"), ("y", "i"))


def sound(word: str) -> str:
    """The word as it sounds, letters single.

    >>> sound("elektrik") == sound("electric"), sound("amonnia") == sound("ammonia")
    (True, True)
    """
    for written, heard in _SOUNDS:
        word = word.replace(written, heard)
    return re.sub(r"(.)\1+", r"\1", word)


@dataclass(frozen=True)
class Slips:
    """The right spellings, and the real words that are near one of them."""

    words: tuple[str, ...]
    real: frozenset[str]
    _near: Mapping[str, tuple[str, ...]] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        near: dict[str, set[str]] = {}
        for word in self.words:
            for key in _keys(sound(word)):
                near.setdefault(key, set()).add(word)
        object.__setattr__(self, "_near", {key: tuple(sorted(words)) for key, words in near.items()})

    def meant(self, word: str) -> str | None:
        """The word of alarm that is meant; None where the word is right, real, or like none or several of them."""
        if word in self.real or word in self.words or not _SHORTEST <= len(word) <= _LONGEST:
            return None
        heard = sound(word)
        candidates = {known for key in _keys(heard) for known in self._near.get(key, ())}
        ranked = sorted((apart, k) for k in candidates if (apart := _apart(heard, sound(k))) is not None)
        fitting = [known for apart, known in ranked if apart == ranked[0][0]]
        return fitting[0] if fitting and len({sound(known)[:_ENOUGH] for known in fitting}) == 1 else None

    def sounds_as(self, word: str) -> str | None:
        """The long word of alarm that sounds exactly so; None where the word is right or real."""
        if len(word) < _LONG_WORD or len(word) > _LONGEST or word in self.real or word in self.words:
            return None
        heard = sound(word)
        return next((known for known in self._near.get(heard, ()) if sound(known) == heard), None)


def _keys(heard: str) -> Iterator[str]:
    """What two words share that are one slip apart: each with one letter left out, or sorted where two are swapped."""
    yield heard
    yield from (heard[:k] + heard[k + 1 :] for k in range(len(heard)))
    yield "~" + "".join(sorted(heard))


def _apart(heard: str, known: str) -> int | None:
    """0 where they sound the same, 1 at one slip; None where they are further apart."""
    if heard == known:
        return 0
    slip = _swapped(heard, known) or (
        min(len(heard) + 1, len(known)) >= _ENOUGH and heard[0] in known[:2] and _one_letter(heard, known)
    )
    return 1 if slip else None


def _swapped(heard: str, known: str) -> bool:
    """Two neighbours have changed places."""
    return len(heard) == len(known) and any(
        heard[:k] + heard[k + 1] + heard[k] + heard[k + 2 :] == known for k in range(len(heard) - 1)
    )


def _one_letter(heard: str, known: str) -> bool:
    """One letter is wrong, missing or too many."""
    if len(heard) == len(known):
        return sum(a != b for a, b in zip(heard, known, strict=True)) == 1
    longer, shorter = sorted((heard, known), key=len, reverse=True)
    return len(longer) == len(shorter) + 1 and any(longer[:k] + longer[k + 1 :] == shorter for k in range(len(longer)))


def slips(words: Iterable[str], real: Iterable[str]) -> Slips:
    """From lists of words."""
    return Slips(tuple(words), frozenset(real))


def trade_words(wordings: Iterable[str]) -> Slips:
    """The long words of wordings and their forms, of which one slip is believed where a word was never met."""
    words = {word + ending for text in wordings for word in text.split() if word.isalpha() for ending in _ENDINGS}
    return slips(sorted(word for word in words if len(word) >= _LONG_WORD), ())
