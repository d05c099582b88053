"""How a page is opened for a test, and what is looked for in every page."""

from __future__ import annotations

from pathlib import Path
from typing import Any

NASTY = "<script>document.title='caught'</script><b>bold</b>"


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
    page.goto(path.as_uri())
    return page, complaints


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
             const boxes = [...svg.querySelectorAll('text')];
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
