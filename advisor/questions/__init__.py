"""The other questions a keeper asks: mixing, plating, faults, keeping or remaking, handing in."""
