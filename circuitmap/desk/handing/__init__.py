"""Handing over: the documents of a home in a list, what is chosen for them, their preview, saving and printing."""
