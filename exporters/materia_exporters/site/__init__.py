"""The exporter `site`: a static reference site that needs neither network nor server."""

from materia_exporters.site.export import export

__all__ = ["export"]
