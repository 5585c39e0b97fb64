"""A hundred ways of tampering with a finished folder; nothing here imports formgen."""
