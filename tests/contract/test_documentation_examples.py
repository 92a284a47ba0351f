"""The commands on the documentation page are sent as they stand there, and give the answers beside them."""

import html
import re

import pytest

from service.app import create_app
from service.partners.keys import Scope, issue_key
from service.settings import Settings
from service.web.document import operations_of
from service.web.documentation import example_answers
from tests.contract.example_answers import NOT_SHOWN, read_command, send, shown

OPERATIONS = [
    pytest.param(method, operation, id=operation["operationId"])
    for _, method, operation in operations_of(create_app(Settings()).openapi())
]


@pytest.fixture(scope="module")
def page(client):
    return client.get("/documentation").text


@pytest.mark.parametrize(("method", "operation"), OPERATIONS)
def test_a_command_gives_the_answer_beside_it(
    page, method, operation, demonstration, demonstration_copy, start_client
):
    name = operation["operationId"]
    section = page.partition(f'id="operation-{name}"')[2].partition("</section>")[0]
    (command,) = re.findall(r'<pre class="command"><code>(.*?)</code></pre>', section, re.DOTALL)
    beside = [
        html.unescape(text)
        for text in re.findall(r'<pre class="answer"><code>(.*?)</code>', section, re.DOTALL)
    ]
    pepper = Settings().key_pepper.get_secret_value()
    key = issue_key(demonstration, name="Quillhaven", scopes=frozenset({Scope.CATALOGUE}), pepper=pepper)
    answer = send(start_client(demonstration_copy), html.unescape(command), key)
    assert answer.is_success, answer.text
    assert read_command(html.unescape(command)).method == method.upper()
    if name in NOT_SHOWN or not answer.content:
        assert beside == []
    else:
        assert beside == [shown(answer)], "if it is meant to change: python tests/contract/example_answers.py"


def test_no_answer_is_kept_of_an_operation_that_is_gone():
    assert set(example_answers()) <= {operation.values[1]["operationId"] for operation in OPERATIONS}
