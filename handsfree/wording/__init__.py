"""Replies as sentences for the ear, lines for paper and JSON; pure."""
