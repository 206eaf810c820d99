"""Rules as data: limits on what is measured of a fence, each with its source, place and date."""
