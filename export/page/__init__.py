"""The page that shows a fence in a browser."""
