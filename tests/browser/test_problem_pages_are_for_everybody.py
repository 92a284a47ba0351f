"""The pages about problems in a browser."""

import pytest


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("path", ["/problems", "/problems/invalid-request"])
def test_a_page_about_a_problem_has_no_fault_of_access(browse, faults_of_access, path, scheme):
    page = browse(path, color_scheme=scheme)
    assert page.locator("h1").count() == 1
    assert faults_of_access(page) == []


def test_a_picture_without_words_is_a_fault_of_access(browse, faults_of_access):
    page = browse("/problems")
    page.evaluate("document.querySelector('main').append(document.createElement('img'))")
    assert [name for name, _ in faults_of_access(page)] == ["image-alt"]
