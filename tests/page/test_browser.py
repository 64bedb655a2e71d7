"""The page as a smith meets it: in Chromium, on the server as the command runs it."""

from __future__ import annotations

import io
import json
import re
import shutil
import tomllib
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from benches import running
from browsers import chromium, faults_of_access, window
from playwright.sync_api import Browser, Page, expect

from patterns import build, cli, learn, logbook, pages, profiles
from patterns.blank import plan
from patterns.units import both, read_length
from patterns.writers import svg

RACK = """section,length,count,steel,name
3/8 x 1 1/4 in,36 in,2,1018,top
1/2 x 1 in,24 in,1,1018,low
"""
MINE = """# a head for the cart
name = "Cart hatchet"  # as the customer calls it
"""
"""Put before a shipped profile's other lines: the smith's own file, with comments of his."""


LATE = """([path, time]) => {
    const ask = window.fetch;
    window.fetch = async (to, ...more) => {
        if (to === path) await new Promise((done) => setTimeout(done, time));
        return ask(to, ...more);
    };
}"""
"""Lets the answers to one question come late."""


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with chromium() as found:
        yield found


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The smith's folder with one head of his own in it."""
    made = tmp_path / "heads"
    made.mkdir()
    lines = profiles.shipped()["belt-hatchet"].read_text(encoding="utf-8").splitlines()[1:]
    (made / "cart-hatchet.toml").write_text(MINE + "\n".join(lines) + "\n", encoding="utf-8")
    (tmp_path / "rack.csv").write_text(RACK, encoding="utf-8")
    return made


@pytest.fixture
def address(folder: Path) -> Iterator[str]:
    rack, log = folder.parent / "rack.csv", folder.parent / "log.csv"
    with running(folder, "--rack", str(rack), "--log", str(log)) as (found, _):
        yield found


def start(page: Page, head: str, way: str = "Start from this") -> None:
    """Take a head from the shelf, and wait for its picture."""
    card = page.locator(f'[data-head="{head}"]')
    card.get_by_role("button").filter(has_text=re.compile(f"^{way}$")).click()
    expect(page.locator('[data-grip="toe"]')).to_be_visible()
    figure(page, "cut")


def figure(page: Page, name: str) -> str:
    """The foremost figure of a row."""
    big = page.locator(f'[data-figure="{name}"] .big')
    expect(big).not_to_be_empty()
    return str(big.inner_text())


def shown(page: Page, key: str) -> None:
    """Open whatever hides a field, as one would by clicking."""
    page.evaluate(
        """key => { let at = document.querySelector(`#fields [data-key="${key}"]`);
        for (; at; at = at.parentElement) if (at.tagName === "DETAILS") at.open = true; }""",
        key,
    )


def given(page: Page, key: str, text: str) -> None:
    shown(page, key)
    page.locator(f'#fields [data-key="{key}"]').fill(text)


def said(folder: Path, name: str, *options: str) -> dict[str, bytes]:
    """The files that the command writes for a profile."""
    to = folder.parent / "command"
    shutil.rmtree(to, ignore_errors=True)
    assert cli.main(["draw", str(folder / name), "--to", str(to), *options]) == 0
    return {path.name: path.read_bytes() for path in to.iterdir()}


# As a smith goes about it ------------------------------------------------------------------------


def test_a_head_for_ones_own_handle_from_shelf_to_paper(
    browser: Browser, folder: Path, address: str
) -> None:
    """Choose, fit to the handle, look, save, print: and the print is what the command writes."""
    with window(browser, address, accept_downloads=True) as page:
        expect(page.locator("#shelf svg.drawing")).to_have_count(14)
        start(page, "shelf/belt-hatchet")
        before = figure(page, "cut")

        page.get_by_label("a strip of paper round the handle").check()  # how it was measured
        expect(page.locator('[data-key="eye.perimeter"]')).to_be_visible()
        given(page, "eye.perimeter", "4 1/4 in")
        expect(page.locator('[data-figure="cut"] .big')).not_to_have_text(before)
        expect(page.locator('[data-figure="eye"]')).to_contain_text("4 1/4 in")
        expect(page.locator('[data-figure="cut"] .was')).to_contain_text(before)

        page.locator('a[data-place="sheets"]').click()
        expect(page.locator("#sheets img").first).to_be_visible()

        page.click("#to-save")
        page.fill('[data-field="name"]', "For Our Cart")
        page.click("#save-profile")
        expect(page.locator("#save .state")).to_contain_text("for-our-cart")
        saved = folder / "for-our-cart.toml"
        assert tomllib.loads(saved.read_text(encoding="utf-8"))["eye"]["perimeter"] == "4 1/4 in"

        page.click("#make-set")
        link = page.locator('#save a[href$=".pdf"]')
        link.wait_for()
        with page.expect_download() as download:
            link.click()
        written = said(folder, "for-our-cart.toml")
        assert Path(download.value.path()).read_bytes() == written["for-our-cart.pdf"]

        with page.expect_download() as download:
            page.locator('#save a[href$="all.zip"]').click()
        with zipfile.ZipFile(io.BytesIO(Path(download.value.path()).read_bytes())) as whole:
            assert {name: whole.read(name) for name in whole.namelist()} == written


def test_every_file_by_itself_is_the_commands(browser: Browser, folder: Path, address: str) -> None:
    """SVG, DXF, card and plan; another paper and the other units; a file of the smith's own."""
    with window(browser, address, accept_downloads=True) as page:
        page.get_by_role("radio", name="mm", exact=True).check()
        start(page, "own/cart-hatchet.toml", "Open")
        page.click("#to-save")
        page.locator('#save [data-field="paper"]').select_option("a3")
        page.locator("#save details.more > summary").first.click()
        page.locator('#save [data-field="card"]').select_option("md")
        page.locator('#save [data-field="sheets"]').select_option("all")
        page.click("#make-set")
        page.locator('#save a[href$="all.zip"]').wait_for(timeout=120_000)
        options = ("--units", "mm", "--paper", "a3", "--sheets", "all", "--card", "md")
        written = said(folder, "cart-hatchet.toml", *options)
        links = page.locator("#save .jobs a").evaluate_all("all => all.map(a => a.href)")
        single = {link.rpartition("/")[2]: link for link in links if "/files/" in link}
        assert set(single) == set(written)
        for name, link in single.items():
            got = page.request.get(link)
            assert got.body() == written[name], name
            assert f'filename="{name}"' in got.headers["content-disposition"]


# Dragging ----------------------------------------------------------------------------------------


def drag(page: Page, grip: str, right: float, down: float, steps: int = 12) -> None:
    box = page.locator(f'[data-grip="{grip}"]').bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + right, y + down, steps=steps)
    page.mouse.up()


def test_a_dragged_toe_is_followed_by_fields_and_figures_and_is_one_step(
    browser: Browser, address: str
) -> None:
    with window(browser, address) as page:
        start(page, "shelf/belt-hatchet")
        shown(page, "blade.toe")
        toe, mass = page.locator('#fields [data-key="blade.toe"]'), figure(page, "head")
        outline = page.locator("#board path.outline").first
        was = outline.get_attribute("d")
        assert toe.input_value() == "1 1/16 in"
        drag(page, "toe", 0, -40)
        expect(toe).not_to_have_value("1 1/16 in")
        expect(page.locator('[data-figure="head"] .big')).not_to_have_text(mass)
        expect(page.locator("#undo")).to_be_enabled()  # the drag has come to its end
        assert outline.get_attribute("d") != was
        high = toe.input_value()
        heel = page.locator('#fields [data-key="blade.heel"]')
        assert heel.input_value() == "1 5/8 in", "the other corner stays"
        page.click("#undo")
        expect(toe).to_have_value("1 1/16 in")
        expect(page.locator('[data-figure="head"] .big')).to_have_text(mass)
        expect(outline).to_have_attribute("d", was or "")
        page.click("#redo")
        expect(toe).to_have_value(high)


def test_a_grip_goes_where_the_pointer_goes(browser: Browser, address: str) -> None:
    """On the screen, to two pixels; measured on the outline's own box, not on the grip."""
    with window(browser, address) as page:
        start(page, "shelf/belt-hatchet")
        outline = page.locator("#board path.outline").first
        before = outline.bounding_box()
        assert before is not None
        drag(page, "heel", 0, 30)
        shown(page, "blade.heel")
        expect(page.locator('#fields [data-key="blade.heel"]')).not_to_have_value("1 5/8 in")
        page.wait_for_timeout(600)  # the picture may be laid anew in its place
        toe = page.locator('[data-grip="heel"]').bounding_box()
        after = outline.bounding_box()
        assert after is not None
        assert toe is not None
        assert after["y"] + after["height"] == pytest.approx(toe["y"] + toe["height"] / 2, abs=3)


def test_keys_drag_too(browser: Browser, address: str) -> None:
    with window(browser, address) as page:
        start(page, "shelf/belt-hatchet")
        shown(page, "blade.toe")
        toe = page.locator('#fields [data-key="blade.toe"]')
        page.locator('[data-grip="toe"]').focus()
        page.keyboard.press("ArrowUp")
        expect(toe).to_have_value("1 5/64 in")
        page.keyboard.press("Shift+ArrowUp")
        expect(toe).to_have_value("1 13/64 in")
        page.keyboard.press("Control+z")
        page.keyboard.press("Control+z")
        expect(toe).to_have_value("1 1/16 in")


def test_a_point_that_goes_no_further_says_so(browser: Browser, address: str) -> None:
    with window(browser, address) as page:
        start(page, "shelf/belt-hatchet")
        said = page.locator(".stop-note")
        drag(page, "edge", -8, 0)
        expect(said).to_be_hidden()
        drag(page, "toe", 260, 0)  # ahead of the edge's foremost point
        expect(said).to_have_text("That is as far as it goes.")
        page.click("#undo")
        expect(said).to_be_hidden()


def test_dragging_like_mad_breaks_nothing(browser: Browser, address: str) -> None:
    with window(browser, address) as page:
        start(page, "shelf/camp-axe")
        box = page.locator('[data-grip="edge"]').bounding_box()
        assert box is not None
        page.mouse.move(box["x"] + 10, box["y"] + 10)
        page.mouse.down()
        for i in range(200):
            page.mouse.move((i * 137) % 1440, (i * 71) % 900)
        page.mouse.up()
        page.mouse.move(5, 5)
        page.click("#undo")
        page.wait_for_timeout(300)
        expect(page.locator("#board .stale")).to_be_hidden()


# Faults ------------------------------------------------------------------------------------------


def test_faults_stand_at_their_fields_and_the_last_picture_stays(
    browser: Browser, address: str
) -> None:
    with window(browser, address) as page:
        start(page, "shelf/belt-hatchet")
        outline = page.locator("#board path.outline").first
        was = outline.get_attribute("d")
        given(page, "eye.length", "a thumb")
        given(page, "blade.toe", "9 yards")
        expect(page.locator(".stale")).to_contain_text("2 things")
        assert outline.get_attribute("d") == was
        for key, word in (("eye.length", "a thumb"), ("blade.toe", "9 yards")):
            control = page.locator(f'#fields [data-key="{key}"]')
            expect(control).to_have_attribute("aria-invalid", "true")
            told = page.locator(f"#{(control.get_attribute('aria-describedby') or '').split()[-1]}")
            expect(page.locator("#fields")).to_contain_text(word)
            assert told is not None
        page.click("#to-save")
        page.click("#save-profile")
        expect(page.locator("#save .fault").first).to_contain_text("Length of the eye: 'a thumb'")
        page.keyboard.press("Escape")
        given(page, "eye.length", "1 7/8 in")
        given(page, "blade.toe", "1 1/8 in")
        expect(page.locator(".stale")).to_be_hidden()
        assert outline.get_attribute("d") != was


def test_nothing_moves_under_the_hand_while_it_types(browser: Browser, address: str) -> None:
    """Half a figure is at fault, but marked only once the hand rests; the field stays in place."""
    with window(browser, address) as page:
        start(page, "shelf/belt-hatchet")
        given(page, "eye.length", "1 3/4 in")
        field, faults = page.locator('#fields [data-key="eye.length"]'), page.locator(".fault-list")

        def place() -> float:
            box = field.bounding_box()
            assert box is not None
            return box["y"]

        was = pytest.approx(place(), abs=1.0)
        field.press_sequentially(" and a b", delay=60)
        expect(page.locator(".stale")).to_contain_text("one thing")
        expect(faults.first).to_be_hidden()
        assert place() == was
        expect(faults.first).to_be_visible()
        assert place() == was
        field.fill("1 7/8 in")
        field.press("Tab")
        expect(faults.first).to_be_hidden()


def test_what_another_form_has_no_use_for_is_taken_out_at_its_field(
    browser: Browser, address: str
) -> None:
    with window(browser, address) as page:
        start(page, "shelf/belt-hatchet")
        shown(page, "eye.form")
        page.locator('#fields [data-key="eye.form"]').select_option("circle")
        page.get_by_role("button", name="Take out: width of the eye").click()
        expect(page.locator(".stale")).to_be_hidden()
        expect(page.locator('#fields [data-key="eye.width"]')).to_have_value("")
        expect(page.locator('[data-figure="eye"]')).to_contain_text("circle, 1 3/4 in")


def test_a_fault_in_a_field_that_is_hidden_can_be_reached(browser: Browser, address: str) -> None:
    with window(browser, address) as page:
        start(page, "shelf/belt-hatchet")
        given(page, "hand.neutral", "7")
        page.evaluate("for (const d of document.querySelectorAll('#fields details')) d.open = 0")
        expect(page.locator(".stale")).to_be_visible()
        page.locator("#fields a").filter(has_text=re.compile("eutral")).first.click()
        expect(page.locator('#fields [data-key="hand.neutral"]')).to_be_in_viewport()


def test_a_name_that_is_markup_is_a_name(browser: Browser, folder: Path, address: str) -> None:
    """From a field and from a file, on every place of the page: nothing of it is run or drawn."""
    evil = '<img src=x onerror="document.title=1"><script>document.title=2</script>'
    text = (folder / "cart-hatchet.toml").read_text(encoding="utf-8")
    name = json.dumps(evil[:60])
    (folder / "evil.toml").write_text(text.replace('"Cart hatchet"', name), encoding="utf-8")
    (folder / "<b>bold.toml").write_text(text.replace('"3/16 in"', '"<u>1</u> in"'), "utf-8")
    with window(browser, address) as page:
        expect(page.locator('[data-head="own/evil.toml"]')).to_contain_text("<img src=x")
        start(page, "own/evil.toml", "Open")
        page.fill("#head-name", evil[:60])
        given(page, "wall.thickness", "<b>1</b>")
        expect(page.locator(".stale")).to_be_visible()
        page.click("#to-save")
        page.keyboard.press("Escape")
        assert page.title() not in ("1", "2")
        assert page.locator("main img[src]:not([src^='blob:'])").count() == 0
        assert page.locator("main b:text('1'), main script").count() == 0


def test_a_bare_number_is_in_the_units_of_the_page(browser: Browser, address: str) -> None:
    with window(browser, address) as page:
        start(page, "shelf/belt-hatchet")
        eye = page.locator('#fields [data-key="eye.length"]')
        given(page, "eye.length", "1 11/16")
        expect(page.locator('[data-figure="eye"]')).to_contain_text("1 11/16 in")
        eye.blur()
        expect(eye).to_have_value("1 11/16 in")
        page.get_by_role("radio", name="mm", exact=True).check()
        given(page, "eye.length", "43")
        eye.blur()
        expect(eye).to_have_value("43 mm")
        expect(page.locator('[data-figure="eye"]')).to_contain_text("43.0 mm")


def test_what_cannot_be_worked_out_is_not_shown_as_if_it_were(
    browser: Browser, address: str
) -> None:
    """An answer that is no answer: the old figures are marked, and nothing can be saved by them."""
    with window(browser, address, watched=False) as page:
        start(page, "shelf/belt-hatchet")
        page.route("**/api/view", lambda route: route.fulfill(status=500, json={"error": "spoilt"}))
        given(page, "eye.length", "1 7/8 in")
        expect(page.locator(".stale")).to_contain_text("spoilt")
        expect(page.locator("[data-grip]")).to_have_count(0)
        page.click("#to-save")
        expect(page.locator("#save-profile")).to_be_disabled()
        page.keyboard.press("Escape")
        page.unroute("**/api/view")
        given(page, "eye.length", "1 15/16 in")
        expect(page.locator(".stale")).to_be_hidden()
        expect(page.locator('[data-figure="eye"]')).to_contain_text("1 15/16 in")


def test_the_first_save_needs_no_other_name(browser: Browser, folder: Path, address: str) -> None:
    with window(browser, address) as page:
        start(page, "shelf/belt-hatchet")
        page.click("#to-save")
        page.click("#save-profile")
        expect(page.locator("#save .state")).to_contain_text("Saved as my-belt-hatchet")
    assert (folder / "my-belt-hatchet.toml").is_file()


# Saving ------------------------------------------------------------------------------------------


def test_comments_stay_in_a_file_that_was_opened(
    browser: Browser, folder: Path, address: str
) -> None:
    path = folder / "cart-hatchet.toml"
    before = path.read_text(encoding="utf-8")
    with window(browser, address) as page:
        start(page, "own/cart-hatchet.toml", "Open")
        given(page, "wall.thickness", "7/32 in")
        expect(page.locator("#head-state")).to_contain_text("not saved")
        page.click("#to-save")
        page.click("#save-profile")
        expect(page.locator("#save .state")).to_contain_text("Saved")
    assert path.read_text(encoding="utf-8") == before.replace(
        'thickness = "3/16 in"', 'thickness = "7/32 in"'
    )


def test_two_windows_on_one_head_lose_nothing(browser: Browser, folder: Path, address: str) -> None:
    path = folder / "cart-hatchet.toml"
    with window(browser, address) as one, window(browser, address, watched=False) as two:
        for page in (one, two):
            start(page, "own/cart-hatchet.toml", "Open")
        given(one, "wall.thickness", "7/32 in")
        given(one, "blade.reach", "3 1/8 in")
        one.click("#to-save")
        one.click("#save-profile")
        expect(one.locator("#save .state")).to_contain_text("Saved")
        given(two, "blade.toe", "1 1/8 in")
        given(two, "blade.reach", "3 1/4 in")
        two.click("#to-save")
        two.click("#save-profile")
        dialog = two.locator(".conflict")
        expect(dialog.locator('[data-changed="wall.thickness"]')).to_contain_text("7/32 in")
        both = dialog.locator('[data-changed="blade.reach"]')
        for text in ("3 in", "3 1/8 in", "3 1/4 in"):
            expect(both).to_contain_text(text)
        kept = tomllib.loads(path.read_text(encoding="utf-8"))
        assert kept["blade"]["reach"] == "3 1/8 in", "the first save stands until it is decided"
        both.get_by_label("yours").check()
        dialog.locator('[data-merge="theirs"]').click()
        expect(two.locator("#save .state")).to_contain_text("Saved")
    kept = tomllib.loads(path.read_text(encoding="utf-8"))
    assert kept["wall"]["thickness"] == "7/32 in"
    assert kept["blade"]["toe"] == "1 1/8 in"
    assert kept["blade"]["reach"] == "3 1/4 in"
    assert "# as the customer calls it" in path.read_text(encoding="utf-8")


def test_a_reload_and_a_server_that_is_gone_lose_nothing(browser: Browser, folder: Path) -> None:
    with running(folder) as (address, process), window(browser, address, watched=False) as page:
        start(page, "shelf/belt-hatchet")
        given(page, "eye.length", "1 7/8 in")
        expect(page.locator('[data-figure="eye"]')).to_contain_text("1 7/8 in")
        page.on("dialog", lambda dialog: dialog.accept())
        page.reload()
        expect(page.locator('#fields [data-key="eye.length"]')).to_have_value("1 7/8 in")
        process.kill()
        process.wait()
        given(page, "eye.length", "1 15/16 in")
        expect(page.locator("#notice")).to_be_visible()
        assert page.locator('#fields [data-key="eye.length"]').input_value() == "1 15/16 in"


# Sheets, work, bars, pieces ----------------------------------------------------------------------


def test_full_size_is_full_size_on_a_screen_that_was_measured(
    browser: Browser, address: str
) -> None:
    """A screen on which a bank card is found to be as wide as 342.4 px has 4 px to the millimetre
    (ISO/IEC 7810: 85.60 mm): a letter page, 8 1/2 or 11 in wide, is 863.6 or 1117.6 px then."""
    with window(browser, address) as page:
        start(page, "shelf/belt-hatchet")
        page.locator('a[data-place="sheets"]').click()
        image = page.locator("#sheets img").first
        expect(image).to_be_visible()
        page.locator("#calibration > summary").click()
        page.locator("#calibration input[type=range]").evaluate(
            "slider => { slider.value = '4'; slider.dispatchEvent(new Event('input')); }"
        )
        card = page.locator("#calibration svg rect")
        sides = [float(card.get_attribute(side) or "") for side in ("width", "height")]
        assert sides == pytest.approx([342.4, 215.92], abs=0.01)
        page.click("#keep-measure")
        page.locator("#sheets input[name=zoom][value='100']").check()
        box = image.bounding_box()
        assert box is not None
        inches = sorted((box["width"] / 4 / 25.4, box["height"] / 4 / 25.4))
        assert inches == pytest.approx([8.5, 11.0], abs=0.01)
        page.locator("#sheets input[name=zoom][value='200']").check()
        twice = image.bounding_box()
        assert twice is not None
        assert twice["width"] == pytest.approx(2 * box["width"], abs=1.0)
        page.reload()
        page.locator("#sheets input[name=zoom][value='100']").check()
        expect(image).to_be_visible()
        again = image.bounding_box()
        assert again is not None
        assert again["width"] == pytest.approx(box["width"], abs=1.0), "the measure is kept"


def test_a_page_is_drawn_as_it_prints(browser: Browser, address: str, folder: Path) -> None:
    """The check bar of 100 mm on the picture of the page, at 4 px to the millimetre, is 400 px."""
    with window(browser, address) as page:
        page.evaluate("localStorage.clear()")
        start(page, "shelf/belt-hatchet")
        with page.expect_response("**/api/sheet") as answer:
            page.locator('a[data-place="sheets"]').click()
        (sheet,) = answer.value.json()["pages"]
        forge = plan(profiles.load("belt-hatchet").design)
        drawing = next(d for _, d in build.drawings(forge, "in", ("blank",)))
        (laid,) = pages.lay(drawing, build.legend(forge, "in"), "letter")
        assert sheet["svg"].encode() == svg.write(laid, drawing)


def test_long_work_can_be_stopped(browser: Browser, address: str) -> None:
    with window(browser, address) as page:
        start(page, "shelf/felling-axe")
        page.click("#to-save")
        page.locator("#save details.more > summary").first.click()
        page.locator('#save [data-field="sheets"]').select_option("all")
        page.click("#make-set")
        stop = page.locator("#save .jobs").get_by_role("button", name=re.compile("Stop"))
        stop.click()
        expect(page.locator("#save .jobs")).to_contain_text(re.compile("topped"))
        expect(page.locator('#save a[href$="all.zip"]')).to_have_count(0)


def test_a_bar_of_the_rack_is_taken(browser: Browser, address: str) -> None:
    with window(browser, address) as page:
        start(page, "shelf/belt-hatchet")
        page.locator('a[data-place="bars"]').click()
        low = page.locator('#bars [data-name="low"]')
        expect(low).to_contain_text("1/2 x 1 in")
        low.get_by_role("button").click()
        page.locator('a[data-place="head"]').click()
        expect(page.locator('[data-figure="bar"]')).to_contain_text("1/2 x 1 in")
        page.click("#undo")
        expect(page.locator('[data-figure="bar"]')).to_contain_text("3/8 x 1 1/4 in")


def test_a_trial_piece_puts_the_pattern_right(browser: Browser, address: str, folder: Path) -> None:
    """Straps that went further round the drift than the plan's area says: the page fits the wrap
    offset as the command does from the log that the page has written, and the dividers move."""
    with window(browser, address) as page:
        start(page, "shelf/belt-hatchet")
        dividers = figure(page, "dividers")
        page.evaluate(LATE, ["api/pieces", 600])  # a hand may be quicker than the answer
        page.locator('a[data-place="pieces"]').click()
        page.click("#begin-piece")
        expect(page.locator('#pieces [data-key="name"]')).to_have_value(re.compile("."))
        place = page.locator("#pieces")
        for key, text in (
            ("name", "first"), ("wall", "0.19 in"), ("drawn_left", "1.70 in"),
            ("drawn_right", "1.72 in"), ("ears", "1.9 in"), ("heats", "7"),
            ("eye_length", "1.70 in"), ("eye_width", "0.63 in"),
        ):  # fmt: skip
            page.evaluate(
                "for (const details of document.querySelectorAll('#pieces details')) "
                "details.open = true"
            )
            place.locator(f'[data-key="{key}"]').first.fill(text)
        page.click("#log-piece")
        take = place.get_by_role("button", name=re.compile("Take these factors"))
        take.wait_for()
        take.click()
        page.locator('a[data-place="head"]').click()
        expect(page.locator('[data-figure="dividers"] .was')).to_contain_text(dividers)
        shown(page, "hand.wrap")
        wrap = page.locator('#fields [data-key="hand.wrap"]').input_value()
    log = folder.parent / "log.csv"
    found = learn.learn(logbook.load(log))
    learnt = found.factors["hand.wrap"].fitted.mid
    assert abs(learnt) > 0.5, "a piece that teaches nothing would try nothing"
    assert read_length(wrap) == pytest.approx(learnt, abs=0.05)


def test_a_bar_and_its_marks_tell_an_eye(browser: Browser, address: str) -> None:
    with window(browser, address) as page:
        start(page, "shelf/belt-hatchet")
        page.locator('a[data-place="bars"]').click()
        page.click("#begin-from-head")
        around = both(plan(profiles.load("belt-hatchet").design).head.eye.perimeter, "in")
        expect(page.locator("#bars")).to_contain_text(f"{around} round")  # what it was made for


def test_a_window_that_was_closed_unsaved_can_be_gone_on_with(
    browser: Browser, address: str
) -> None:
    with window(browser, address) as page:
        start(page, "shelf/belt-hatchet")
        given(page, "eye.length", "1 7/8 in")
        cut = page.locator('[data-figure="cut"]')
        expect(cut.locator(".was")).not_to_be_empty()
        told = cut.inner_text()
        other = page.context.new_page()
        other.goto(address)
        expect(other.locator("#shelf svg.drawing").first).to_be_visible()
        expect(other.locator(".left-over")).to_be_empty()  # its window is still there
        page.close()
        other.reload()
        other.get_by_role("button", name="Go on with Belt hatchet").click()
        expect(other.locator('[data-figure="cut"]')).to_have_text(re.compile(r"was"))
        assert other.locator('[data-figure="cut"]').inner_text() == told
        other.click("#undo")
        expect(other.locator('#fields [data-key="eye.length"]')).to_have_value("1 3/4 in")
        other.click('a[data-place="shelf"]')
        expect(other.locator(".left-over")).to_be_empty()  # nothing is unsaved any more


# For everybody -----------------------------------------------------------------------------------


@pytest.mark.parametrize("size", ["phone", "tablet", "desk"])
def test_nothing_shuts_anybody_out(browser: Browser, address: str, size: str) -> None:
    """axe-core finds nothing on any place of the page, bright or dark, and nothing runs off."""
    found: dict[str, list[str]] = {}

    def look(place: str) -> None:
        found[place] = faults_of_access(page)
        page.evaluate("document.documentElement.dataset.shop = 'dark'")
        found[f"{place}, dark"] = faults_of_access(page, "color-contrast")
        page.evaluate("document.documentElement.dataset.shop = 'bright'")
        over = page.evaluate("document.documentElement.scrollWidth - window.innerWidth")
        assert over <= 0, f"{place} runs off by {over} px"

    with window(browser, address, size, color_scheme="light", bypass_csp=True) as page:
        expect(page.locator("#shelf svg.drawing").first).to_be_visible()
        look("shelf")
        start(page, "shelf/belt-hatchet")
        look("head")
        given(page, "eye.length", "30")
        expect(page.locator(".fault-list").first).to_be_visible()
        look("faults")
        given(page, "eye.length", "1 3/4 in")
        for place in ("sheets", "bars", "pieces"):
            page.evaluate(f"location.hash = '#{place}'")
            page.locator(f"#{place}").wait_for()
            page.wait_for_timeout(500)
            look(place)
        page.click("#to-save")
        look("save")
    assert {place: faults for place, faults in found.items() if faults} == {}


def test_axe_would_find_something(browser: Browser, address: str) -> None:
    with window(browser, address, bypass_csp=True) as page:
        expect(page.locator("#shelf svg.drawing").first).to_be_visible()
        page.evaluate("document.body.append(document.createElement('input'))")
        assert any("label" in fault for fault in faults_of_access(page))
        page.evaluate("document.querySelector('h1').style.color = '#333'")
        page.evaluate("document.documentElement.dataset.shop = 'dark'")
        pale = faults_of_access(page, "color-contrast")
        assert any("color-contrast" in fault and "shelf-title" in fault for fault in pale)


def test_the_page_itself_is_not_printed(browser: Browser, address: str) -> None:
    with window(browser, address) as page:
        start(page, "shelf/belt-hatchet")
        page.emulate_media(media="print")
        expect(page.locator("main")).to_be_hidden()
        assert "PDF" in page.evaluate("document.body.innerText")
