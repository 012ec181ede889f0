"""Parts of a page, each a function from a `Book` and ids to what a template lays out."""
