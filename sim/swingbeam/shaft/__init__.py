"""The shaft: its profile from butt to tip, as stations or as a steel tube with steps."""
