"""What everything stands on: units, components, fields of a sheet, tables, slopes, and where the folders lie."""

__version__ = "0.2.0"
