"""The file stays its owner's: saved with its comments, never over another program's changes unawares."""

from pathlib import Path

import pytest

from optimiser.site.text.edited import Add, EditError, Put, Remove, edited, length_like
from optimiser.telling.page.workspace import MOST_STEPS, OutsideChangeError, StaleError, Workspace
from shared.errors import BankhaulError
from tests.page.sites import STRAIGHT

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*.toml"))


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "site.toml"
    path.write_text(STRAIGHT)
    return path


def changed(space: Workspace, title: str, gesture: str = "") -> None:
    space.change([Put(key=("title",), value=title)], space.version, gesture)


def test_saving_writes_the_change_and_nothing_else(file: Path) -> None:
    space = Workspace.of(file, "")
    space.change([Put(key=("path", "leg", 0, "surface"), value="wet-grass")], space.version)
    assert file.read_text() == STRAIGHT

    space.save()

    assert file.read_text() == STRAIGHT.replace('surface = "grass" ', 'surface = "wet-grass" ')
    assert not space.state()["dirty"]


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_comments_and_order_stay_whatever_is_edited(path: Path) -> None:
    """Of every example: a value put in, a table added and taken out again; all comments stand as before."""
    text = path.read_text()
    out = edited(
        text,
        [
            Put(key=("load", "weight"), value="111 kg"),
            Put(key=("path", "leg", 0, "breakout"), value=1.25),
            Put(key=("preferences", "margin_wanted"), value=1.5),
            Add(key=("mark",), table={"name": "a stake", "at": ["1 m", "2 m", "0 m"]}),
        ],
    )
    comments = [line.partition("#")[2] for line in text.splitlines() if "#" in line]

    assert [line.partition("#")[2] for line in out.splitlines() if "#" in line] == comments
    assert 'weight = "111 kg"' in out
    back = edited(out, [Remove(key=("mark", len(_marks(out)) - 1))])
    assert "a stake" not in back


def _marks(text: str) -> list[str]:
    return [line for line in text.splitlines() if line.startswith("[[mark]]")]


def test_an_edit_that_leads_nowhere_is_refused() -> None:
    for edit in (
        Put(key=("tree", 0, "at"), value="here"),
        Remove(key=("load", "colour")),
        Remove(key=("gear", 7)),
        Add(key=("load", "name"), table={}),
    ):
        with pytest.raises(EditError):
            edited(STRAIGHT, [edit])


@pytest.mark.parametrize(
    ("before", "metres", "after"),
    [
        ("3.5 m", 4.256, "4.26 m"),
        ("10 ft", 3.048, "10 ft"),
        ("10 ft 6 in", 3.048, "10 ft"),
        ("250 cm", 3.0, "300 cm"),
        (None, -0.001, "0 m"),
    ],
)
def test_a_moved_place_keeps_its_unit(before: str | None, metres: float, after: str) -> None:
    assert length_like(before, metres) == after


def test_undo_and_redo_go_step_by_step_and_a_drag_is_one(file: Path) -> None:
    space = Workspace.of(file, "")
    changed(space, "first")
    for name in ("a", "b", "c"):
        changed(space, name, gesture="drag 1")
    space.undo()
    assert 'title = "first"' in space.text
    space.undo()
    assert space.text == STRAIGHT
    space.redo()
    space.redo()
    assert 'title = "c"' in space.text


def test_steps_that_can_be_undone_are_counted(file: Path) -> None:
    space = Workspace.of(file, "")
    for number in range(MOST_STEPS + 20):
        changed(space, f"title {number}")
    assert space.state()["undo"] == MOST_STEPS


def test_what_another_program_wrote_is_not_written_over(file: Path) -> None:
    space = Workspace.of(file, "")
    changed(space, "mine")
    file.write_text(STRAIGHT.replace("60 kg", "61 kg"))

    assert space.look()
    with pytest.raises(OutsideChangeError):
        space.save()
    assert "61 kg" in file.read_text()
    space.reload()
    assert "61 kg" in space.text
    space.undo()  # and what was there before is not lost either
    assert 'title = "mine"' in space.text
    space.save(mine=True)
    assert 'title = "mine"' in file.read_text()


def test_a_change_to_an_older_version_is_refused(file: Path) -> None:
    space = Workspace.of(file, "")
    base = space.version
    changed(space, "one")
    with pytest.raises(StaleError):
        space.change([Put(key=("title",), value="two")], base)


def test_a_draft_survives_and_is_offered_again(file: Path) -> None:
    space = Workspace.of(file, "")
    changed(space, "never saved")
    space.keep()

    again = Workspace.of(file, "")
    assert again.state()["draft"]
    assert again.text == STRAIGHT
    again.take_draft(take=True)
    assert 'title = "never saved"' in again.text
    again.save()
    assert drafts(file) == []


def drafts(file: Path) -> list[str]:
    return sorted(path.read_text() for path in file.parent.glob(".*.draft"))


def test_a_draft_that_nobody_decided_on_is_not_lost_by_the_next_change(file: Path) -> None:
    space = Workspace.of(file, "")
    changed(space, "from before")
    space.keep()
    again = Workspace.of(file, "")
    changed(again, "newer")
    again.keep()

    assert [text.splitlines()[1] for text in drafts(file)] == [
        'title = "from before"', 'title = "newer"',
    ]  # fmt: skip
    again.take_draft(take=True)
    assert "from before" in again.text
    again.undo()  # and what was there before it was taken up is not lost either
    assert "newer" in again.text


def test_two_programs_with_one_file_keep_a_draft_each(file: Path) -> None:
    """Neither overwrites the other's; one that is dropped is there again; saving takes one's own away."""
    one, two = Workspace.of(file, ""), Workspace.of(file, "")
    changed(one, "by one")
    one.keep()
    changed(two, "by two")
    two.keep()
    assert len(drafts(file)) == 2

    three = Workspace.of(file, "")
    three.take_draft(take=False)
    three.take_draft(take=False)
    assert drafts(file) == []
    for space in (one, two):
        space.look()
    assert [text.splitlines()[1] for text in drafts(file)] == [
        'title = "by one"', 'title = "by two"',
    ]  # fmt: skip
    one.save()
    assert [text.splitlines()[1] for text in drafts(file)] == ['title = "by two"']
    assert two.look()  # and the other is told that the file has changed
    with pytest.raises(OutsideChangeError):
        two.save()


def test_a_draft_of_another_file_is_not_offered(tmp_path: Path) -> None:
    for name in ("site.toml", "site.toml.toml", "a.site.toml", "*.toml"):
        (tmp_path / name).write_text(STRAIGHT)
        space = Workspace.of(tmp_path / name, "")
        changed(space, name)
        space.keep()

    assert [
        left.text.splitlines()[1] for left in Workspace.of(tmp_path / "*.toml", "").offered
    ] == ['title = "*.toml"']


def test_a_new_file_is_begun_and_only_written_when_saved(tmp_path: Path) -> None:
    path = tmp_path / "new.toml"
    space = Workspace.of(path, STRAIGHT)
    assert space.state()["new"]
    assert not path.exists()
    space.save()
    assert path.read_text() == STRAIGHT


def test_the_demonstration_is_not_saved() -> None:
    space = Workspace.of(None, STRAIGHT)
    with pytest.raises(BankhaulError, match="bankhaul page FILE"):
        space.save()


def test_a_folder_in_which_nothing_can_be_kept_is_reported(
    file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    space = Workspace.of(file, "")
    changed(space, "other")
    monkeypatch.setattr("optimiser.telling.page.workspace.write_atomically", full)
    monkeypatch.setattr("optimiser.telling.page.drafts.write_atomically", full)
    space.keep()
    assert "No space left" in space.state()["draft_trouble"]
    with pytest.raises(BankhaulError, match="cannot be written"):
        space.save()


def test_a_text_that_is_no_toml_is_kept_as_it_is(file: Path) -> None:
    space = Workspace.of(file, "")
    space.replace("title = nothing in quotes\n", space.version)
    assert space.state()["raw"] is None
    with pytest.raises((EditError, ValueError)):
        changed(space, "x")
