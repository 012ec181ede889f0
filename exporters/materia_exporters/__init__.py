"""The exporters that come with materia-data, written as a plugin would be: they import only what `materia_data` itself offers."""
