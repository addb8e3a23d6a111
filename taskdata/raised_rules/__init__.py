"""Rules that something else than an audit raises: one a module, its docstring the page, its ``RULE`` the words."""
