"""What a limit of the maker is worth: stricter always, looser than everything by a document, far beyond never."""

import doctest

import pytest

from witnessmark.calculations.metrology import makers
from witnessmark.calculations.metrology.limits import Limit, StatedLimit
from witnessmark.calculations.metrology.makers import TABLE, MakerWord, Safer, weigh
from witnessmark.calculations.metrology.uncertainty import Measured

DOCUMENT = "Guide 7, page 2"
LOWER = Limit("lower", (StatedLimit(1.0, "common-practice"), StatedLimit(2.0, "coolprop")))
HIGHER = Limit("higher", (StatedLimit(10.0, "common-practice"), StatedLimit(4.0, "coolprop")))


@pytest.mark.parametrize(
    ("limit", "value", "without", "by_document", "cautions"),
    [
        (LOWER, 0.5, True, True, ()),
        (LOWER, 1.0, True, True, ()),
        (LOWER, 1.5, True, True, ("maker-limit-looser",)),
        (LOWER, 2.0 * (1 + 1e-12), True, True, ("maker-limit-looser",)),
        (LOWER, 2.01, False, True, ("maker-limit-looser",)),
        (LOWER, 4.0, False, True, ("maker-limit-looser",)),
        (LOWER, 4.01, False, False, ("maker-limit-far",)),
        (HIGHER, 20.0, True, True, ()),
        (HIGHER, 5.0, True, True, ("maker-limit-looser",)),
        (HIGHER, 3.9, False, True, ("maker-limit-looser",)),
        (HIGHER, 2.0, False, True, ("maker-limit-looser",)),
        (HIGHER, 1.99, False, False, ("maker-limit-far",)),
    ],
)
def test_what_counts(
    limit: Limit,
    value: float,
    without: bool,  # noqa: FBT001
    by_document: bool,  # noqa: FBT001
    cautions: tuple[str, ...],
) -> None:
    """The least safe published figure bounds what counts without a document, twice (half) of it what counts at all."""
    for document, counts in (("", without), (" - ", without), (DOCUMENT, by_document)):
        ruling = limit.rule(value, document)
        assert (ruling.basis == "maker") is counts
        assert ruling.value == (value if counts else limit.rule().value)
        assert ruling.laxest == (value if counts else limit.rule().laxest)
    assert ruling.maker is not None
    assert ruling.maker.cautions == cautions


def test_a_bound_of_its_own_comes_before_the_usual_one() -> None:
    bounded = Limit("lower", LOWER.stated, far=2.5)
    assert [bounded.rule(value, DOCUMENT).basis == "maker" for value in (2.5, 2.6)] == [True, False]
    assert weigh(2.6, DOCUMENT, (1.0, 2.0), "lower", times=1.25).far_beyond
    assert (TABLE().far.times, TABLE().far.source) == (2.0, "maker-limit-far-estimate")


@pytest.mark.parametrize(
    ("maker", "document", "reading", "said"),
    [
        (3.0, DOCUMENT, 2.5, "looser than everything published"),
        (3.0, DOCUMENT, 3.5, ""),
        (3.0, DOCUMENT, 0.5, ""),
        (1.5, "", 1.2, "not by the strictest"),
        (1.5, "", 0.5, ""),
        (3.0, "", 0.5, "without its document"),
        (9.0, DOCUMENT, 0.5, "far beyond everything published"),
        (0.5, "", 0.4, ""),
    ],
)
def test_a_verdict_says_what_it_rests_on(maker: float, document: str, reading: float, said: str) -> None:
    found = LOWER.rule(maker, document).condition(Measured(reading))
    assert said in found
    assert bool(found) == bool(said)
    assert (DOCUMENT in found) == (said == "looser than everything published")


def test_where_nothing_is_published_the_maker_stands_alone() -> None:
    word = weigh(70.0, "", (), "lower")
    assert (word.counts, word.looser, word.remark, word.cautions) == (True, False, "", ())


@pytest.mark.parametrize("safer", ["lower", "higher"])
def test_a_word_of_the_published_figure_is_no_looser(safer: Safer) -> None:
    assert not MakerWord(2.0, "", safer, 2.0, 2.0, 2.0).looser


def test_the_examples() -> None:
    assert doctest.testmod(makers).failed == 0
