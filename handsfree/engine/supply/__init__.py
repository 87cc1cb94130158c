"""Cylinders and hoses become how much gas is left, how long it lasts, and when to change over."""
