"""Who may do what: roles, sign-in, sessions, and the check before each action."""
