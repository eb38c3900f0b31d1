from witnessmark.demo import paper


def test_text_is_wrapped_and_indented() -> None:
    lines = paper.paragraph("word " * 60, "  ").splitlines()
    assert len(lines) > 1
    assert all(line.startswith("  ") and len(line) <= paper.WIDTH for line in lines)


def test_bars_fill_with_the_share() -> None:
    assert paper.bar(0).count("█") == 0
    assert paper.bar(0.5).count("█") == paper.BAR // 2
    assert paper.bar(1).count("░") == 0


def test_quantities_are_rounded_for_reading() -> None:
    assert paper.quantity({"value": 1234.5678, "unit": "kPaa"}) == "1,235 kPaa"
    assert paper.quantity({"value": 0.53712, "unit": "K", "uncertainty": 1.2345}) == "0.5 ± 1.2 K"
    assert paper.quantity({"value": 40.0, "unit": "kPa", "uncertainty": 25.1}) == "40 ± 25 kPa"
    assert paper.quantity({"value": 1.03704, "uncertainty": 0.0234}) == "1.037 ± 0.023"
    assert paper.quantity({"value": 5.0, "unit": "min"}, 2) == "5 min"
    assert paper.quantity({"value": 12.96, "unit": "degC"}) == "12.96 °C"
    assert paper.quantity({"value": 1.5}) == "1.5"
    assert paper.quantity({"value": 100.0}, 2) == "100"
    assert paper.quantity(None) == "not known"


def test_headings_and_lists() -> None:
    assert paper.heading("Now").splitlines()[1:] == ["Now", "───"]
    assert paper.bullets(["one", "two"], "-") == ["  - one", "  - two"]
    assert paper.row("a", "b").startswith("  a")
