"""Which replacement axle fits a measured inline skate frame, ranked, with reasons."""
