"""Load, refuse and watch plugins: rules and everything else that a shop adds."""
