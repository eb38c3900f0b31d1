"""From reports and readings to likelihoods on findings."""
