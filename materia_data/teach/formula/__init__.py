"""One recipe looked at from every side: what it is made of, what the whole does, what endangers, how it is cooked, what
it is kin to. Reads facts; `analysis` puts the parts together."""
