"""A batch's answers have their sentences in the language that it asks for."""

import json

import pytest

LOOKUP = {"fastening": "threaded_wall", "outside_width_mm": 36.4, "bore_mm": 8}


@pytest.mark.parametrize("language", ["en", "de"])
def test_a_line_is_answered_in_the_language_of_the_batch(client, language):
    headers = {"Accept-Language": language}
    batch = client.post(
        "/v1/fits/batch",
        content=json.dumps({"id": "a"} | LOOKUP) + "\n",
        headers=headers | {"Content-Type": "application/x-ndjson"},
    )
    alone = client.post("/v1/fits", json=LOOKUP, headers=headers)
    assert json.loads(batch.text.splitlines()[0])["answer"] == alone.json()
    assert batch.headers["content-language"] == language
    assert "Accept-Language" in batch.headers["vary"]
