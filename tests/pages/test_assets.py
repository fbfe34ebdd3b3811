import gzip
import re
from importlib import resources

import brotli
import plotly
import pytest
from flask.testing import FlaskClient

SCRIPT = f"/plotly/{plotly.__version__}/plotly.min.js"
FOR_GOOD = "public, max-age=31536000, immutable"


@pytest.fixture(scope="module")
def original() -> bytes:
    return resources.files(plotly).joinpath("package_data", "plotly.min.js").read_bytes()


def test_the_chart_script_is_the_installed_one_and_kept_for_good(
    client: FlaskClient, original: bytes
) -> None:
    answer = client.get(SCRIPT)
    assert answer.status_code == 200
    assert answer.mimetype == "text/javascript"
    assert answer.headers["Cache-Control"] == FOR_GOOD
    assert answer.headers["Vary"] == "Accept-Encoding"
    assert "Content-Encoding" not in answer.headers
    assert answer.data == original


def test_the_chart_script_is_compressed_as_the_browser_likes(
    client: FlaskClient, original: bytes
) -> None:
    answer = client.get(SCRIPT, headers={"Accept-Encoding": "gzip, deflate, br"})
    assert answer.headers["Content-Encoding"] == "br"
    assert len(answer.data) < len(original) / 3
    assert brotli.decompress(answer.data) == original
    answer = client.get(SCRIPT, headers={"Accept-Encoding": "gzip"})
    assert answer.headers["Content-Encoding"] == "gzip"
    assert gzip.decompress(answer.data) == original


def test_another_version_of_the_chart_script_is_not_here(client: FlaskClient) -> None:
    answer = client.get("/plotly/0.0.1/plotly.min.js")
    assert answer.status_code == 404
    assert "not the version" in answer.text


def test_our_own_files_are_kept_for_good_by_their_version(client: FlaskClient) -> None:
    address = re.search(r'href="(/static/site\.css\?v=\w+)"', client.get("/help").text)
    assert address
    with client.get(address[1]) as answer:
        assert answer.headers["Cache-Control"] == FOR_GOOD
    with client.get("/static/site.css?v=old") as answer:
        assert answer.headers["Cache-Control"] == "no-cache"
    assert client.get("/static/none.css").status_code == 404


def test_a_page_is_never_kept_by_the_browser(client: FlaskClient) -> None:
    assert client.get("/help").headers["Cache-Control"] == "no-store"
