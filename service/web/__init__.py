"""HTTP is spoken here and nowhere else: routes, decoding, problem documents."""
