"""The tour of the demo: notes beside the real screens of its cylinder head, left at any moment."""
