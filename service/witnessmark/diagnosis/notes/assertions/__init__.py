"""How a clause tells what it names: cues of scope, denial, and of which machine it is told."""
