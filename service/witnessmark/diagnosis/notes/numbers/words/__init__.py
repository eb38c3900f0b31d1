"""From the characters of a note to amounts and labels: lexemes, terms of numbers.toml, segments, roles."""
