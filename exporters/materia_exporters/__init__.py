"""The exporters that come with materia-data, written as a plugin would be.

They import only what `materia_data` itself offers, and nothing of each other.
"""
