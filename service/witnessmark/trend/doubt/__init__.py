"""Where readings contradict each other: what one witness alone is worth, and what no circuit can show."""
