"""The overlay editor: corrections made on the picture itself."""
