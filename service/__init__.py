"""Which replacement axle fits a measured inline skate frame, ranked, with reasons."""

__version__ = "0.1.0"
API_VERSION = "1"
