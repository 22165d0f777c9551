"""The sample homes: how they are made, and that what is stored is what is made."""
