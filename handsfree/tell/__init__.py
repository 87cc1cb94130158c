"""A reply becomes speech, a page and a record."""
