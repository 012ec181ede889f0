"""One module a kind of page: each gives, from a `Book`, the values that the template of the same name lays out."""
