"""QPainter drawings used on screen and on paper alike. Paint never decides."""
