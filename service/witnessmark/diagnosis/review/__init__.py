"""Knowledge looked over before it ships: lint, described cases, what a change does to the answers."""
