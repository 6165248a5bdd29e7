"""Pages, forms, actions, app."""
