"""The guide that the service shows at /guide: its pages, its look, and how it is built. The wheel holds the result."""
