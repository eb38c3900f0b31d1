"""What is known: findings, failure modes, causes and their links, as checked data."""
