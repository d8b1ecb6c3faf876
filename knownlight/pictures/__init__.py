"""Pictures of the user's own: read from PNG, TIFF and OpenEXR files, and scaled in linear light."""
