"""Help that is there: every key of the files that people write, and topics to read, found by a word."""
