"""What the scripts of the site read: names to find by, facts to browse by, and facts to compare."""
