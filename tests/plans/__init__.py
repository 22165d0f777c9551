"""Invented drawings of homes with known rooms, a real plan marked by hand, and the measure of what is found."""
