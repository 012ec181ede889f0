"""An existing quiz of a school, read against the data: `check` finds what is wrong, `read` takes CSV and QTI, `words`
understands plain questions, `truth` says whether a claim still holds."""
