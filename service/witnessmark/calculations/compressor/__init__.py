"""The compressor: efficiency, liquid it takes in, accumulator."""
