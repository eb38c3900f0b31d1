"""The weights are those that are described, and small."""

import io
from dataclasses import replace

import numpy as np
import pytest

from witnessmark import data
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.notes.model import store


def test_weights_are_read_as_they_were_written() -> None:
    whole = store.shipped()
    again = store.unpacked(store.DESCRIBED(), store.packed(whole))
    text = "oil black, no ice"
    assert again.hear(text) == whole.hear(text)


def test_the_same_model_gives_the_same_bytes() -> None:
    assert store.packed(store.shipped()) == store.packed(store.shipped())


def test_other_weights_are_refused() -> None:
    with pytest.raises(data.DataError, match="SHA-256"):
        store.unpacked(store.DESCRIBED(), store.packed(store.shipped()) + b"x")


def test_weights_are_small() -> None:
    assert len(store.packed(store.shipped())) < 15e6


def test_a_finding_that_nobody_knows_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    store.check_weights()
    strange = store.DESCRIBED().model_copy(update={"findings": ("no-such-finding",)})
    monkeypatch.setattr(store, "shipped", lambda: strange)
    with pytest.raises(data.DataError, match="no-such-finding"):
        store.check_weights()


YET_TO_LEARN = {"discharge-hot-for-itself"}
"""Newer than the weights: heard by its phrases alone until they are trained anew."""


def test_every_finding_was_learned() -> None:
    assert knowledge().findings.keys() - {*store.DESCRIBED().findings} == YET_TO_LEARN


def test_a_reader_without_network_and_trees_is_packed_without_them() -> None:
    bare = replace(store.shipped(), network=None, trees=None)
    with np.load(io.BytesIO(store.packed(bare))) as arrays:
        assert not [name for name in arrays if name.startswith(("network-", "trees-", "pieces"))]
