"""The whole fence: members with marks."""
