"""Who may write: API keys and their scopes, and the answers that a repeated request gets again."""
