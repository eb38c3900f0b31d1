"""Where the service meets its callers: who calls, whose turn it is, what is counted, how it starts and stops."""
