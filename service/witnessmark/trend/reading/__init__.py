"""What a log needs before it is a table of readings: words of controllers, columns written now and then."""
