"""Features of order: side, distance, joints and other findings between."""

from witnessmark.diagnosis.notes.model.order import SILENT, anchors, features, row
from witnessmark.diagnosis.notes.model.words import key, words


class Found:
    """The features of a text, asked for by their names."""

    def __init__(self, keys: set[int]) -> None:
        self.keys = keys

    def __contains__(self, name: str) -> bool:
        return key(name) in self.keys

    def __ge__(self, names: set[str]) -> bool:
        return all(name in self for name in names)


def found(text: str, anchor: tuple[int, ...], others: frozenset[int] = frozenset()) -> Found:
    seen = features(row(words(text)), "coil-iced", anchor, others, SILENT)
    assert seen[key("rule:silent")] == (1.5, anchor[0])
    return Found({*seen})


def test_anchors_bear_a_good_part_of_what_the_strongest_does() -> None:
    assert anchors([0.1, 1.0, 0.4, 0.34]) == (1, 2)
    assert anchors([-1.0, -0.5]) == (1,)


def test_a_word_counts_by_side_and_distance() -> None:
    seen = found("no ice on the coil today", (1, 4))
    assert {"Lfree1:no", "Rfree1:today", "in:ice", "coil-iced|in:coil", "first:no", "last:today"} <= seen
    assert "in:no" not in seen


def test_far_words_share_their_distance() -> None:
    seen = found("a b c d e f g h i ice", (9,))
    assert {"Lfree1:i", "Lfree4:f", "Lfree5:e", "Lfree8:a"} <= seen


def test_a_joint_between_is_seen() -> None:
    seen = found("not cooling, coil iced", (3, 4))
    assert "L1:not" in seen
    assert "L0:not" not in seen
    assert "coil-iced|L:not" not in seen
    assert "coil-iced|L:not" in found("not iced", (1,))


def test_the_words_of_another_finding_take_what_stands_before_them() -> None:
    assert "Lowned:not" in found("not cooling coil iced", (2, 3), frozenset({1}))
    assert "Lfree:not" in found("not cooling coil iced", (2, 3))


def test_a_number_counts_with_its_unit() -> None:
    assert "coil-iced|#3 mm" in found("ice 20 mm", (0,))
    assert "coil-iced|#3 " in found("ice 20", (0,))


def test_words_anywhere_count_alone_and_with_those_behind() -> None:
    seen = found("no ice on coil", (1,))
    assert {"all:no", "all:no ice", "all:no ice on", "coil-iced|no ice", "coil-iced|coil"} <= seen
    assert "all:coil " not in seen
