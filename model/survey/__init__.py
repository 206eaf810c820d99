"""Points and lines of survey files, one module a format."""
