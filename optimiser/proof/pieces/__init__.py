"""What hangs where and what it stands, read again from the site's own figures."""
