"""Only the page itself gets an answer: neither another program's request nor another origin's page does."""

import socket
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.page.opened import Opened, opened
from tests.page.sites import STRAIGHT

JSON = {"Content-Type": "application/json"}


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Opened]:
    folder = tmp_path_factory.mktemp("guarded")
    (folder / "site.toml").write_text(STRAIGHT)
    (folder / "other.toml").write_text("title = 'nobody is to see this'\n")
    with opened("site.toml", folder=folder) as found:
        yield found


@pytest.mark.parametrize(
    "path", ["/", "/events", "/wrong-token/", "/wrong-token/text", "//", "/../"]
)
def test_without_the_token_there_is_nothing(page: Opened, path: str) -> None:
    assert page.send("GET", path).status == 404


def test_the_token_cannot_be_guessed_and_is_another_one_each_time(
    page: Opened, tmp_path: Path
) -> None:
    with opened(folder=tmp_path) as other:
        assert other.way != page.way
    assert len(page.way.strip("/")) >= 32


@pytest.mark.parametrize(
    "host", ["example.test", "example.test:{port}", "127.0.0.1", "127.0.0.1:1", ""]
)
def test_a_name_that_leads_here_from_elsewhere_is_refused(page: Opened, host: str) -> None:
    reply = page.send("GET", page.way, headers={"Host": host.format(port=page.port)})
    assert reply.status == 421


@pytest.mark.parametrize(
    "headers",
    [
        {"Origin": "http://example.test"},
        {"Origin": "null"},
        {"Origin": "http://127.0.0.1:1"},
        {"Origin": "https://127.0.0.1:{port}"},
        {},
        {"Origin": "http://127.0.0.1:{port}", "Sec-Fetch-Site": "cross-site"},
        {"Origin": "http://127.0.0.1:{port}", "Sec-Fetch-Site": "same-site"},
    ],
)
def test_a_change_from_another_origin_is_refused(page: Opened, headers: dict[str, str]) -> None:
    given = {k: v.format(port=page.port) for k, v in headers.items()} | JSON
    reply = page.send("POST", f"{page.way}undo", b"{}", given)
    assert reply.status == 403


@pytest.mark.parametrize("site", ["cross-site", "same-site"])
def test_nor_may_another_page_read_or_frame_it(page: Opened, site: str) -> None:
    assert page.send("GET", f"{page.way}text", headers={"Sec-Fetch-Site": site}).status == 403
    policy = page.get().headers["content-security-policy"]
    assert "frame-ancestors 'none'" in policy


def test_a_form_of_another_page_is_no_request(page: Opened) -> None:
    kind = {"Origin": page.origin, "Content-Type": "text/plain"}
    assert page.send("POST", f"{page.way}undo", b"{}", kind).status == 415


@pytest.mark.parametrize(("length", "status"), [("99999999", 413), ("many", 411), ("-1", 411)])
def test_what_is_too_large_is_not_even_read(page: Opened, length: str, status: int) -> None:
    given = {"Origin": page.origin, "Content-Length": length} | JSON
    try:
        reply = page.send("POST", f"{page.way}text", b"{}", given)
    except ConnectionError:
        return  # hung up on
    assert reply.status in (status, 400)


def test_scripts_and_styles_are_its_own_files_and_nothing_comes_from_elsewhere(
    page: Opened,
) -> None:
    reply = page.get()
    policy = reply.headers["content-security-policy"]
    text = reply.body.decode()

    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert "http" not in text.replace("http-equiv", "")
    assert "style=" not in text
    assert " on" not in "".join(part for part in text.split("<") if part.startswith("script"))
    assert reply.headers["referrer-policy"] == "no-referrer"
    assert reply.headers["cache-control"] == "no-store"


@pytest.mark.parametrize(
    "name",
    ["serving.py", "..%2Fserving.py", "..%2f..%2f..%2fcli.py", "%2Fetc%2Fpasswd", "index.html/"],
)
def test_no_other_file_is_served(page: Opened, name: str) -> None:
    assert page.get(f"static/{name}").status == 404


@pytest.mark.parametrize(
    "question",
    [
        {"ask": "sheet", "setup": 1},
        {"ask": "new"},
        {"ask": "why", "reeving": "load > oak\n--help"},
        {"ask": "why", "reeving": ["load"]},
        {"ask": "sweep", "key": "--help"},
        {"ask": "sweep", "key": "load.weight=1..2 kg --samples 9\n"},
        {"ask": "show", "setup": "../other.toml"},
        {"ask": "show", "setup": True},
        {},
    ],
)
def test_a_question_is_never_an_option_nor_a_file(
    page: Opened, question: dict[str, object]
) -> None:
    assert page.post("question", question).status == 422


@pytest.mark.parametrize("reeving", ["--help", "other.toml", "-"])
def test_what_looks_like_an_option_is_taken_for_a_reeving(page: Opened, reeving: str) -> None:
    reply = page.post("question", {"ask": "why", "reeving": reeving}).data

    assert reply["code"] == 2
    assert "nobody is to see this" not in reply["out"] + reply["err"]
    assert "Usage" not in reply["out"]


@pytest.mark.parametrize(
    "edit",
    [
        {"put": ["load", "weight"], "value": {"a": [[[[[[[[[1]]]]]]]]]}},
        {"put": ["load", "weight"], "value": None},
        {"put": [], "value": 1},
        {"put": ["load", -1], "value": 1},
        {"put": ["load", "x" * 200], "value": 1},
        {"put": ["title"], "value": "x" * 5000},
        {"move": ["tree", 0, "at"], "to": [1, 2]},
        {"insert": ["path", "start", 0], "to": [1, 2, "3 m"]},
        {"insert": ["load", 0], "to": [1, 2, 3]},
        {"outline": ["made", 0, "row"], "points": []},
        {"outline": ["made", 0, "row"], "points": [[1, 2, float("nan")]]},
        {"remove": ["load", "nothing"]},
        {"add": ["load"], "table": {}},
        {"put": ["load"], "add": ["tree"]},
    ],
)
def test_an_edit_that_the_page_does_not_make_changes_nothing(
    page: Opened, edit: dict[str, object]
) -> None:
    before = page.get("text").data
    reply = page.post("edit", {"base": before["version"], "edits": [edit]})

    assert reply.status == 422
    assert reply.data["problem"]
    assert page.get("text").data == before


def test_a_change_to_an_older_state_is_refused(page: Opened) -> None:
    edit = {"put": ["title"], "value": "other"}
    assert page.post("edit", {"base": -5, "edits": [edit]}).status == 409


def test_it_listens_on_the_loopback_address_alone(page: Opened) -> None:
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # sends nothing: only finds the address of this machine
            own = probe.getsockname()[0]
        except OSError:
            pytest.skip("this machine has no other address")
    if own.startswith("127."):
        pytest.skip("this machine has no other address")
    with socket.socket() as line:
        line.settimeout(3.0)
        assert line.connect_ex((own, page.port)) != 0
