"""Kits: all axles for a pair of skates with their sleeves, at the least price; the choice is exact."""
