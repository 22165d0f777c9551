"""Adding to a home: what is sound to add, where its cables may run, what it takes and what that costs.

Design, certification and notification belong to a competent person and local rules; everything here is a preparation.
"""
