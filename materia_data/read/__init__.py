"""Reading: CSV files to columns of text, with every problem met on the way. Imports nothing of the other rooms."""
