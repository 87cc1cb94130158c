"""A voice helper for oxy-fuel cutting: sound in, a sourced answer out, offline."""

__version__ = "0.2.0"
