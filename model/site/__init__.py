"""The line of a fence on the site, and the ground along it."""
