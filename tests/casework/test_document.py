"""Documents by paths, and their digest."""

from witnessmark.casework.document import at, digest, put


def test_paths() -> None:
    made: dict[str, object] = {}
    put(made, "a.b", [1])
    assert at(made, "a.b.0") == 1
    assert at(made, "a.b.7") is None
    assert at(made, "a.c.d") is None


def test_equal_documents_have_equal_digests() -> None:
    assert digest({"a": 1, "b": 2}) == digest({"b": 2, "a": 1})
    assert digest({"a": 1}) != digest({"a": 2})
    assert len(digest({"a": "\ud800"})) == 64
