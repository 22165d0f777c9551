"""A folder of homes: what there is, what is open, what is due; its index is a cache and can be thrown away."""
