"""The preview page: a fence in one HTML file that opens without a network."""
