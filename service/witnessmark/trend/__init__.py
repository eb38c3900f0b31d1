"""The log of one machine: read, cleaned, turned into superheats and lifts, and searched for what hurts a compressor."""
