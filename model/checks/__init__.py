"""What is wrong or doubtful about a fence."""
