// Looks, by the boxes of what a browser has laid out, for what a reader would stumble over, and returns it as lines of text.
// `page` is the height of a page of paper in px, or 0 on a screen.
((page) => {
  const found = [];
  const short = (text) => JSON.stringify(text.trim().replace(/\s+/g, " ").slice(0, 60));
  const where = (element) => {
    const named = element.closest("[id]");
    return `${element.tagName.toLowerCase()} in #${named ? named.id : "page"}`;
  };
  const scrolls = (value) => value === "auto" || value === "scroll";
  const meet = (a, b) => ({
    left: Math.max(a.left, b.left), top: Math.max(a.top, b.top), right: Math.min(a.right, b.right), bottom: Math.min(a.bottom, b.bottom),
  });
  const wide = (box) => box.right - box.left;
  const high = (box) => box.bottom - box.top;

  // seen is the part of a box that its ancestors let through; what they cut off for good is a fault.
  const seen = (element, whole, words) => {
    let box = meet(whole, whole); // a plain object of a browser's own
    for (let above = element; above && above !== document.body; above = above.parentElement) {
      const style = getComputedStyle(above);
      if (style.overflowX === "visible" && style.overflowY === "visible") continue;
      const frame = above.getBoundingClientRect();
      const cutX = !scrolls(style.overflowX) && (box.left < frame.left - 1 || box.right > frame.right + 1);
      const cutY = !scrolls(style.overflowY) && (box.top < frame.top - 1 || box.bottom > frame.bottom + 1);
      if (cutX || cutY) found.push(`clipped text ${short(words)}, ${where(element)}`);
      box = meet(box, frame);
    }
    return box;
  };

  // lines are the boxes of every line of text outside pictures, and of every picture.
  const lines = () => {
    const boxes = [];
    const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    while (walker.nextNode()) {
      const node = walker.currentNode;
      const element = node.parentElement;
      if (!node.data.trim() || element.closest("svg, .skip, script, style")) continue;
      const range = document.createRange();
      range.selectNodeContents(node);
      for (const rect of range.getClientRects()) {
        if (rect.width < 1 || rect.height < 1) continue;
        const cell = element.closest("td, th");
        const room = cell && cell.getBoundingClientRect();
        if (room && (rect.left < room.left - 1 || rect.right > room.right + 1 || rect.top < room.top - 3 || rect.bottom > room.bottom + 3)) {
          found.push(`text leaves its cell ${short(node.data)}, ${where(element)}`);
        }
        const box = seen(element, rect, node.data);
        if (wide(box) > 0 && high(box) > 0) boxes.push({ ...box, words: node.data, element, node });
      }
    }
    for (const svg of document.querySelectorAll("svg")) {
      const box = seen(svg.parentElement, svg.getBoundingClientRect(), "picture");
      if (wide(box) > 0 && high(box) > 0) boxes.push({ ...box, words: "picture", element: svg });
    }
    return boxes;
  };

  // cover finds boxes that lie on each other by more than slack px and a quarter of the lower one's height.
  const cover = (boxes, slack, what) => {
    boxes.sort((a, b) => a.top - b.top);
    for (let i = 0; i < boxes.length; i++) {
      for (let j = i + 1; j < boxes.length && boxes[j].top < boxes[i].bottom; j++) {
        if (boxes[i].node && boxes[i].node === boxes[j].node) continue; // a table's heading, repeated in each column of a page
        const both = meet(boxes[i], boxes[j]);
        if (wide(both) > slack && high(both) > Math.max(slack, Math.min(high(boxes[i]), high(boxes[j])) / 4)) {
          found.push(`${what} ${short(boxes[i].words)} and ${short(boxes[j].words)}, ${where(boxes[i].element)}`);
        }
      }
    }
  };

  const charts = () => {
    for (const svg of document.querySelectorAll("svg")) {
      const frame = svg.getBoundingClientRect();
      if (frame.width <= 2) continue; // not shown, or a picture that stays for who cannot see while its canvas is shown
      const scale = svg.viewBox.baseVal ? frame.width / svg.viewBox.baseVal.width : 1;
      const boxes = [];
      for (const text of svg.querySelectorAll("text")) {
        const { left, top, right, bottom } = text.getBoundingClientRect();
        if (right - left < 0.1) continue;
        if (left < frame.left - 1.5 * scale || right > frame.right + 1.5 * scale || top < frame.top - 3 * scale || bottom > frame.bottom + 3 * scale) {
          found.push(`text leaves its chart ${short(text.textContent)}, ${where(text)}`);
        }
        boxes.push({ left, top, right, bottom, words: text.textContent, element: text });
      }
      cover(boxes, 1.5 * scale, "covered text in a chart");
    }
  };

  const paper = () => {
    for (const whole of document.querySelectorAll("figure, svg, tr, .figure, .lead, .offer, .standing li, .caution")) {
      const box = whole.getBoundingClientRect();
      if (box.height === 0) continue;
      const what = `${short(whole.textContent)}, ${where(whole)}`;
      if (box.height > page) found.push(`higher than a page, ${Math.round(box.height)} px: ${what}`);
      const kept = whole.closest("figure, tr, .figure, .lead, .offer, .standing li, .caution");
      if (!kept || getComputedStyle(kept).breakInside !== "avoid") found.push(`may be split between pages: ${what}`);
    }
  };

  const root = document.documentElement;
  if (root.scrollWidth > root.clientWidth) {
    const widest = [...document.body.querySelectorAll("*")].filter((e) => !e.closest(".skip") && (page > 0 || !e.closest(".scroll")))
      .sort((a, b) => b.getBoundingClientRect().right - a.getBoundingClientRect().right)[0];
    found.push(`the page is ${root.scrollWidth} px wide on ${root.clientWidth}: ${short(widest.textContent)}, ${where(widest)}`);
  }
  cover(lines(), 1, "covered text");
  charts();
  if (page > 0) paper();
  return found;
})
