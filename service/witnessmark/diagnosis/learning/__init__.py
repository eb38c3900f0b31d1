"""Knowledge that learns from closed jobs: elicited figures as prior counts, jobs as the rest, and what came of it."""
