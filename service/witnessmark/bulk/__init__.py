"""Many rows at once: tables, the forms in which they come and go, the folder they wait in, the processes that work."""
