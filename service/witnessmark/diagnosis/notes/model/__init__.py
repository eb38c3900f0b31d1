"""A learned reader of notes: findings spoken of, and how they are told, from weights that were trained off line."""
