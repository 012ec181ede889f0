"""Reading a teacher's own words against the data: file to sentences, names, claims, verdicts."""
