"""How a page is opened for a test, and what is looked for in every page."""

from __future__ import annotations

from pathlib import Path
from typing import Any

AXE = Path(__file__).parent / "vendor" / "axe.min.js"
NASTY = "<script>document.title='caught'</script><b>bold</b>"
KEEP_WORDS = """
window.wordsDrawn = new Map();
const pen = CanvasRenderingContext2D.prototype, fillText = pen.fillText, clearRect = pen.clearRect;
pen.clearRect = function (...box) { wordsDrawn.set(this.canvas, []); return clearRect.apply(this, box); };
pen.fillText = function (text, x, y, ...rest) {
  if (!text.trim()) return fillText.call(this, text, x, y, ...rest);
  const size = this.measureText(text), at = this.getTransform().transformPoint({ x, y });
  if (!wordsDrawn.has(this.canvas)) wordsDrawn.set(this.canvas, []);
  wordsDrawn.get(this.canvas).push({ text, left: at.x - size.actualBoundingBoxLeft,
    right: at.x + size.actualBoundingBoxRight, top: at.y - size.actualBoundingBoxAscent,
    bottom: at.y + size.actualBoundingBoxDescent });
  return fillText.call(this, text, x, y, ...rest);
};
"""
"""Run before a page's own script: keeps where words are drawn on each canvas since it was last wiped."""


def opened(browser: Any, path: Path, width: int = 1280, script: bool = True) -> tuple[Any, list[str]]:
    """A page that may not reach any network, and everything it complained about."""
    context = browser.new_context(
        viewport={"width": width, "height": 900}, offline=True, java_script_enabled=script
    )
    page, complaints = context.new_page(), []
    page.on("console", lambda message: complaints.append(message.text))
    page.on("pageerror", lambda error: complaints.append(str(error)))
    page.on(
        "request", lambda request: None if request.url.startswith("file:") else complaints.append(request.url)
    )
    page.add_init_script(KEEP_WORDS)
    page.goto(path.as_uri())
    return page, complaints


def crowded(page: Any) -> list[str]:
    """Words drawn on the canvases in sight that stand over one another, or leave their canvas."""
    found: list[str] = page.evaluate(
        """() => [...wordsDrawn].filter(([canvas]) => canvas.checkVisibility()).flatMap(([canvas, words]) => {
             const found = [];
             words.forEach((p, i) => {
               if (p.left < -1 || p.right > canvas.width + 1 || p.top < -1 || p.bottom > canvas.height + 1)
                 found.push(p.text + ' leaves');
               words.slice(0, i).forEach(q => {
                 if (Math.min(p.right, q.right) - Math.max(p.left, q.left) > 1
                     && Math.min(p.bottom, q.bottom) - Math.max(p.top, q.top) > 1)
                   found.push(p.text + ' / ' + q.text);
               });
             });
             return found; })"""
    )
    return found


def hairs(page: Any) -> list[float]:
    """Where each visible cursor line stands, as a share of what it may cross."""
    found: list[float] = page.evaluate(
        """() => [...document.querySelectorAll('.hair')].filter(e => e.getClientRects().length).map(e => {
             const over = e.parentElement.getBoundingClientRect(), still = e.parentElement.matches('.still');
             const wide = still && e.parentElement.matches('.wide') ? 840 : 420;
             const left = still ? over.left + over.width * 50 / wide : over.left;
             const width = still ? over.width * (1 - 142 / wide) : over.width;
             return (e.getBoundingClientRect().left - left) / width; })"""
    )
    return found


def barriers(page: Any) -> list[tuple[str, str, str]]:
    """What the accessibility checker finds: rule, impact, where first."""
    page.evaluate(AXE.read_text(encoding="utf-8"))
    found = page.evaluate("async () => (await axe.run()).violations")
    return [(v["id"], v["impact"], v["nodes"][0]["html"][:200]) for v in found]


def too_wide(page: Any, width: int) -> list[str]:
    """What stands out of a page of this width, boxes that scroll apart."""
    found: list[str] = page.evaluate(
        """width => [...document.querySelectorAll('h1,h2,h3,p,li,figure,figcaption,svg,dd')]
           .filter(e => !e.closest('.scroll') && e.getClientRects().length)
           .filter(e => e.getBoundingClientRect().right > width + 0.5).map(e => e.outerHTML.slice(0, 80))""",
        width,
    )
    return found


def overlapping(page: Any, pictures: str = "svg") -> list[str]:
    """Words of the pictures in sight that stand over one another, or out of their picture."""
    found: list[str] = page.evaluate(
        """pictures => [...document.querySelectorAll(pictures)].filter(s => s.checkVisibility())
           .flatMap(svg => {
             const isDrawn = text => text.getBoundingClientRect().width > 0;
             const boxes = [...svg.querySelectorAll('text')].filter(isDrawn);
             const place = boxes.map(text => text.getBoundingClientRect());
             const frame = svg.getBoundingClientRect(), found = [];
             place.forEach((p, i) => {
               const told = boxes[i].textContent;
               if (p.left < frame.left - 1 || p.right > frame.right + 1) found.push(told + ' leaves');
               if (p.top < frame.top - 1 || p.bottom > frame.bottom + 1) found.push(told + ' leaves');
               place.slice(0, i).forEach((q, j) => {
                 const x = Math.min(p.right, q.right) - Math.max(p.left, q.left);
                 const y = Math.min(p.bottom, q.bottom) - Math.max(p.top, q.top);
                 if (x > 1 && y > 0.35 * Math.min(p.height, q.height))
                   found.push(told + ' / ' + boxes[j].textContent);
               });
             });
             return found; })""",
        pictures,
    )
    return found
