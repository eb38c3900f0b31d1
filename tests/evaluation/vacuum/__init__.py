"""Standing vacuum curves of known truth, by a physics of their own: they judge verdicts and are fitted to none."""
