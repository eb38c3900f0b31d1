"""Tests before power is given, the gate, and the watch after it."""
