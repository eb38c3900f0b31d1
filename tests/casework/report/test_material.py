"""What a report is written from."""

from collections.abc import Callable

from witnessmark.casework.report.material import Material

CHECKS = [
    {"kind": "finding", "finding": "wrap-cracked-from-root"},
    {"kind": "finding", "finding": "people-unwell"},
    {"kind": "repair", "finding": ""},
]


def test_of_a_compressor_that_is_out_no_trial_by_running_is_open(material: Callable[..., Material]) -> None:
    results = {"diagnosis": {"next_checks": {"checks": CHECKS}}}
    assert material(results=results).checks() == CHECKS
    assert material(results=results, repaired=True).checks() == CHECKS[:1]
    assert material().checks() == []
