"""Sites as measured: points and lines from CSV, DXF and GeoJSON files."""
