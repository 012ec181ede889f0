"""The two lines that go with the data wherever it goes."""

TEACHING = "For teaching; local law, the current pharmacopoeia and licensed practice decide."
LICENCE = "CC-BY-4.0"
