"""From the words of a note to findings."""
