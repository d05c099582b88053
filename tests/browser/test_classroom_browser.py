"""Every control of the classroom's page, by mouse and by keyboard: its number answers at once and rightly."""

from __future__ import annotations

import re
from typing import Any

import pytest
from classroom import Classroom, put, told, until

ANSWERED = 300
"""ms from a move of a control to its number, as asked for."""
TRIES = 3
"""The quickest of them counts, so that a busy machine fails nothing."""


MEASURE = """
([control, reading, way]) => new Promise((done, fail) => {
  const row = document.querySelector(`[data-control="${control}"]`);
  const input = row.querySelector("input, button");
  const place = row.querySelector(`[data-answer="${reading}"] b`);
  const number = () => Number(place.textContent.replace("\\u2212", "-"));
  const before = number();
  let moved = null;
  const start = () => { moved ??= performance.now(); };
  for (const kind of ["input", "change", "click"])
    input.addEventListener(kind, start, { capture: true, once: true });
  new MutationObserver(() => {
    if (moved === null || (number() - before) * way <= 0) return;
    done({ ms: performance.now() - moved, before, after: number() });
  }).observe(place, { characterData: true, childList: true, subtree: true });
  setTimeout(() => fail(new Error(`${control}: ${reading} went from ${before} to ${number()}`)), 6000);
})"""

LEVERS = [
    # control, reading that answers, its way when the control goes up, value before, value after (shown)
    ("throttle", "steam_flow_boiler_engine", +1, 5, 60),
    ("reversing_gear", "shaft_speed", -1, 100, -100),
    ("damper", "air_flow", +1, 0, 100),
    ("fire_door", "burning_rate", -1, 0, 100),
    ("blower", "draught", +1, 0, 100),
    ("bypass", "bypass_flow", +1, 0, 100),
    ("hand_pump_on_hot_well", "feed_flow_hand_pump_hotwell", +1, 0, 30),
    ("hand_pump_on_lake", "feed_flow_hand_pump_lake", +1, 0, 30),
    ("condensate_drain", "condenser_flood_fraction", +1, 100, 0),
]
SWITCHES = [
    ("cylinder_drains", "glands and drains", +1),
    ("whistle", "service_flow", +1),
    ("feed_check", "feed", -1),
    ("blow_down", "blow_down_flow", +1),
    ("charge", "bed_fuel_mass", +1),
]


def ready(page: Any) -> None:
    """Engine turning, time going at a steady ten times."""
    page.evaluate("document.querySelectorAll('.controls details').forEach(one => { one.open = true; })")
    put(page, "lines", False)
    put(page, "throttle", 30)
    for name, value in (
        ("reversing_gear", 100),
        ("damper", 20),
        ("fire_door", 0),
        ("blower", 0),
        ("bypass", 0),
        ("hand_pump_on_hot_well", 0),
        ("hand_pump_on_lake", 0),
        ("condensate_drain", 100),
    ):
        put(page, name, value)
    for name, on in (
        ("cylinder_drains", False),
        ("whistle", False),
        ("feed_check", True),
        ("blow_down", False),
    ):
        put(page, name, on)
    page.locator("#speed").fill("3")
    if page.inner_text("#run") == "Run":
        page.click("#run")
    page.wait_for_timeout(400)


def measured(page: Any, control: str, reading: str, way: int, act: Any) -> dict[str, float]:
    """How long a reading took to go the right way after a move, as the page itself saw it."""
    handle = page.evaluate_handle(
        f"args => {{ window.answer = ({MEASURE})(args); }}", [control, reading, way]
    )
    act()
    found: dict[str, float] = page.evaluate("window.answer")
    handle.dispose()
    return found


def by_mouse(page: Any, control: str, value: float) -> None:
    """Press the pointer down on a slider where a value stands."""
    place = page.locator(f"[data-control='{control}'] input")
    place.scroll_into_view_if_needed()
    box = place.bounding_box()
    low, high = (float(place.get_attribute(end)) for end in ("min", "max"))
    share = (value - low) / (high - low)
    page.mouse.click(box["x"] + 8 + share * (box["width"] - 16), box["y"] + box["height"] / 2)


def by_keyboard(page: Any, control: str, value: float) -> None:
    """Go to a slider by its letter, and to an end of it by Home or End, or a good way with the page keys."""
    place = page.locator(f"[data-control='{control}'] input")
    page.evaluate("document.activeElement.blur()")
    page.keyboard.press(page.locator(f"[data-control='{control}'] kbd").inner_text())
    assert place.evaluate("e => e === document.activeElement")
    low, high = (float(place.get_attribute(end)) for end in ("min", "max"))
    key = (
        "End"
        if value == high
        else "Home"
        if value == low
        else "PageUp"
        if value > float(place.input_value())
        else "PageDown"
    )
    for _ in range(1 if key in ("Home", "End") else 3):
        page.keyboard.press(key)


@pytest.mark.parametrize("hand", [by_mouse, by_keyboard], ids=["mouse", "keyboard"])
def test_each_lever_is_answered_at_once_and_the_right_way(windows: Any, free: Classroom, hand: Any) -> None:
    page = windows(free.address)
    ready(page)
    slow = {}
    for control, reading, way, before, after in LEVERS:
        for _ in range(TRIES):
            put(page, control, before)
            page.wait_for_timeout(900 if control in ("damper", "fire_door", "condensate_drain") else 350)
            found = measured(page, control, reading, way, lambda c=control, v=after: hand(page, c, v))
            put(page, control, before)
            if found["ms"] <= ANSWERED:
                break
        else:
            slow[control] = found
    assert slow == {}


@pytest.mark.parametrize("hand", ["mouse", "keyboard"])
def test_each_switch_and_button_is_answered_at_once_and_the_right_way(
    windows: Any, free: Classroom, hand: str
) -> None:
    page = windows(free.address)
    ready(page)
    slow = {}

    def act(control: str) -> None:
        row = page.locator(f"[data-control='{control}']")
        if hand == "mouse":
            row.locator("button, input[type=checkbox]").first.click()
        else:
            page.evaluate("document.activeElement.blur()")
            page.keyboard.press(row.locator("kbd").inner_text())

    for control, reading, way in SWITCHES:
        for _ in range(TRIES):
            found = measured(page, control, reading, way, lambda c=control: act(c))
            if control != "charge":
                act(control)
                page.wait_for_timeout(350)
            if found["ms"] <= ANSWERED:
                break
        else:
            slow[control] = found
    assert slow == {}


def test_injector_picks_up_with_water_then_steam(windows: Any, free: Classroom) -> None:
    page = windows(free.address)
    ready(page)
    put(page, "injector_water", True)
    found = measured(
        page, "injector_steam", "feed_flow_injector", +1, lambda: put(page, "injector_steam", True)
    )
    assert found["ms"] <= ANSWERED
    put(page, "injector_steam", False)
    put(page, "injector_water", False)


def test_a_fault_and_its_repair(windows: Any, free: Classroom) -> None:
    page = windows(free.address)
    ready(page)
    assert told(page, "feed_flow_engine_pump") > 0
    page.get_by_label("Engine pump stops delivering").check()
    until(page, "document.querySelector(\"[data-reading='feed_flow_engine_pump']\").textContent === '0'")
    page.get_by_label("Engine pump stops delivering").uncheck()
    until(page, "document.querySelector(\"[data-reading='feed_flow_engine_pump']\").textContent !== '0'")


def test_hold_step_rewind_and_branches_side_by_side(windows: Any, free: Classroom) -> None:
    page = windows(free.address)
    ready(page)
    page.keyboard.press("Escape")
    page.evaluate("document.activeElement.blur()")
    page.keyboard.press(" ")
    until(page, "document.getElementById('run').textContent === 'Run'")
    held = page.inner_text("#clock")
    page.wait_for_timeout(400)
    assert page.inner_text("#clock") == held
    page.keyboard.press(".")
    until(page, "held => document.getElementById('clock').textContent > held", held)
    branches = page.locator("#branches span").count()
    page.locator("#back").fill("2")
    assert page.locator("#rewind").is_enabled()
    page.click("#rewind")
    until(page, "many => document.querySelectorAll('#branches span').length > many", branches)
    until(page, "held => document.getElementById('clock').textContent < held", held)
    assert page.locator("#branches").is_visible() and "now" in page.inner_text("#branches")
    put(page, "throttle", 80)
    page.click("#run")
    until(page, "() => Number(document.querySelector('[data-reading=shaft_speed]').textContent) > 0")
    assert page.locator(".plot canvas").count() == 6
    page.click("#run")


def test_every_control_has_a_name_a_unit_and_a_key(windows: Any, free: Classroom) -> None:
    page = windows(free.address)
    page.evaluate("document.querySelectorAll('.controls details').forEach(one => { one.open = true; })")
    rows = page.evaluate(
        """() => [...document.querySelectorAll('.row')].map(row => ({
             name: row.dataset.control, label: (row.querySelector('label, button') || {}).textContent.trim(),
             lever: row.classList.contains('lever'), output: row.querySelector('output')?.textContent || '',
             key: row.querySelector('kbd')?.textContent || '', fault: Boolean(row.closest('.faults')) }))"""
    )
    assert len(rows) > 30
    for row in rows:
        assert row["label"], row
        assert row["fault"] or row["key"], row
        assert not row["lever"] or re.search(r"\d (%|strokes/min)$", row["output"]), row
    keys = [row["key"] for row in rows if row["key"]]
    assert len(keys) == len(set(keys))


def test_keys_are_left_alone_when_turned_off_or_writing(windows: Any, free: Classroom) -> None:
    page = windows(free.address)
    page.evaluate("document.querySelectorAll('.controls details').forEach(one => { one.open = true; })")
    page.locator("#shortcuts").uncheck()
    page.evaluate("document.activeElement.blur()")
    page.keyboard.press("t")
    assert not page.locator("#control-throttle").evaluate("e => e === document.activeElement")
    page.locator("#shortcuts").check()
    page.locator("[data-control='charge'] input[type=number]").focus()
    page.keyboard.press("t")
    assert not page.locator("#control-throttle").evaluate("e => e === document.activeElement")


def test_nothing_moves_by_itself(windows: Any, free: Classroom) -> None:
    """Nothing is animated, so that those who want no motion see the same page as everybody."""
    page = windows(free.address)
    ready(page)
    assert page.evaluate("document.getAnimations().length") == 0
    lasting = "e => getComputedStyle(e).transitionDuration + getComputedStyle(e).animationDuration"
    assert set(page.evaluate(f"[...document.querySelectorAll('*')].map({lasting})")) == {"0s0s"}
