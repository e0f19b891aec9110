"""What everything stands on: units, fields of a sheet, reference tables, and where the folders lie."""

__version__ = "0.1.0"
