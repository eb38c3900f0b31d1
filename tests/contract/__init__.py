"""The contract of the interface: golden document, rules, fuzzing."""
