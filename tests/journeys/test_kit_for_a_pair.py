"""A story over HTTP: a customer brings a pair of skates, and goes home with all of its axles."""

import pytest


@pytest.fixture
def kit(client):
    """The kit for what the customer says."""

    def ask(**body):
        response = client.post("/v1/kits", json=body)
        assert response.status_code == 200, response.text
        return response.json()

    return ask


def test_a_customer_buys_all_axles_for_a_pair_with_a_brake_on_the_right(client, kit):
    # The frames are Alder with four wheels, 36.4 mm wide, and the brake is on the right skate.
    made = kit(frame="QH-ALDER", brake="right")
    assert [
        (p["side"], p["position"], p["needs"]) for p in made["positions"] if p["needs"] != "standard"
    ] == [("right", 4, "brake")]
    assert len(made["positions"]) == 8
    assert all(position["sku"] for position in made["positions"])

    # Each axle is one that the lookup of its position lists, with no better verdict to be had there.
    for position in made["positions"]:
        query = {"axle_position": position["position"], "limit": 100} if position["needs"] == "brake" else {
            "axle_position": 1, "limit": 100,
        }  # fmt: skip
        found = client.get("/v1/frames/QH-ALDER/fits", params=query).json()["fits"]
        verdicts = {fit["axle"]["sku"]: fit["verdict"] for fit in found}
        assert verdicts[position["sku"]] == position["verdict"] == found[0]["verdict"]

    # At the drawers: as many packs as the lines say, all of them there, and the till's sum is the total.
    cents = 0
    for line in made["lines"]:
        if line["kind"] == "tool":
            continue
        part = client.get(f"/v1/axles/{line['sku']}").json()
        assert part["stock"] is None or part["stock"] >= line["packs"]
        assert line["packs"] * part["pack_quantity"] == line["pieces"] + line["left_over"]
        cents += round(float(part["price"]) * 100) * line["packs"]
    assert round(float(made["total"]["amount"]) * 100) == cents

    # The workshop lays out a key for each drive.
    drives = {client.get(f"/v1/axles/{p['sku']}").json()["drive"] for p in made["positions"]}
    assert {line["drive"] for line in made["lines"] if line["kind"] == "tool"} == drives

    # Another customer has a child's skate with thin axles: one sleeve goes with each of them.
    thin = kit(frame="QH-TANSY", child=True, rider_mass_kg=30)
    counts = {
        kind: sum(line["pieces"] for line in thin["lines"] if line["kind"] == kind)
        for kind in ("axle", "sleeve")
    }
    assert counts == {"axle": 6, "sleeve": 6}
    assert "child_skate_checked_by_adult" in {caution["code"] for caution in thin["cautions"]}
